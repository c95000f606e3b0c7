//! Roofs of many kinds, as text after a job's circuits: few units and many, turned, walled in, with long and foreign names.

use std::fmt::Write;

/// How many units the roof of that number has.
pub fn units(number: u64) -> u32 {
    [1, 2, 4, 9][number as usize % 4]
}

/// A roof by its number.
pub fn roof(number: u64) -> String {
    let mut random = fastrand::Rng::with_seed(number);
    let units = units(number);
    let columns = if units > 4 { 3 } else { 2 };
    let mut text = format!("[roof]\nnorth = {}\nheight = \"36 ft\"\n", random.u32(0..360));
    if number % 3 != 2 {
        let wide = random.u32(180..400);
        text += "parapet = \"18 in\"\n";
        let _ = writeln!(
            text,
            "outline = [[\"0 ft\", \"0 ft\"], [\"{wide} ft\", \"0 ft\"], [\"{wide} ft\", \"170 ft\"], [\"0 ft\", \"170 ft\"]]"
        );
    }
    for unit in 0..units {
        let (x, y) = (30 + 45 * (unit % columns), 20 + 44 * (unit / columns));
        let name = match number % 5 {
            0 => format!("C{unit}"),
            1 => format!("北側凝縮器{unit}"),
            2 => format!("Συμπυκνωτής {unit}"),
            3 => format!("the condenser over the northern bottling hall and its stores {unit}"),
            _ => format!("<b>{unit}</b> ]]>"),
        };
        let controls = ["north", "east", "south", "west"][random.usize(0..4)];
        let _ = write!(
            text,
            "[[roof.unit]]\nname = \"{name}\"\ncircuits = [\"1\"]\nat = [\"{x} ft\", \"{y} ft\"]\nsize = [\"22 ft\", \"{:.1} ft\"]\n\
             height = \"8 ft\"\nbase_height = \"2 ft\"\nrotation = {}\nair_in = [\"north\", \"south\"]\noutlet_velocity = \"1500 fpm\"\n\
             controls = \"{controls}\"\nweight = \"4600 lb\"\nsupports = 4\nallowed = \"1100 lb\"\nsound_power = \"90 dBA\"\n",
            5.0 + random.f64() * 8.0,
            if number.is_multiple_of(2) { 0 } else { random.u32(0..30) }
        );
    }
    for wall in 0..random.u32(0..4) {
        let (x, high) = (12 + 5 * wall, random.u32(4..14));
        let open = if random.bool() { "free_area = 0.3\n" } else { "" };
        let _ = write!(
            text,
            "[[roof.wall]]\nname = \"wall of the stair head number {wall}\"\nfrom = [\"{x} ft\", \"10 ft\"]\nto = [\"{x} ft\", \"{} ft\"]\n\
             height = \"{high} ft\"\n{open}",
            random.u32(30..150)
        );
    }
    for listener in 0..random.u32(0..4) {
        let _ = write!(
            text,
            "[[roof.listener]]\nname = \"flats across the yard, number {listener}\"\nat = [\"{} ft\", \"{} ft\"]\nheight = \"15 ft\"\n\
             limit = \"60 dBA\"\nnight_limit = \"50 dBA\"\n",
            random.i32(-200..400),
            -60 - random.i32(0..200)
        );
    }
    text
}
