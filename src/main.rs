//! roofrun, the program.

fn main() -> std::process::ExitCode {
    roofrun::cli::main()
}
