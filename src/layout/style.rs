//! The colours. They only repeat what the words beside them say.

use anstyle::{AnsiColor, Style};

/// Headings.
pub const STRONG: Style = Style::new().bold();
/// Heads of tables, sources, and what else may stand back.
pub const QUIET: Style = Style::new().dimmed();
/// A fail.
pub const FAIL: Style = AnsiColor::Red.on_default().bold();
/// A caution.
pub const CAUTION: Style = AnsiColor::Yellow.on_default().bold();
/// A note.
pub const NOTE: Style = AnsiColor::Blue.on_default().bold();
/// What holds.
pub const PASS: Style = AnsiColor::Green.on_default().bold();
/// No style at all.
pub const PLAIN: Style = Style::new();
