//! A BVH or TRC file from arbitrary bytes: each byte is a decision, so that any bytes make a file that is nearly whole.

const CHANNELS: [&str; 6] = ["Xposition", "Yposition", "Zposition", "Xrotation", "Yrotation", "Zrotation"];

/// Joints of a plan, at most.
const JOINTS: usize = 12;

struct Plan<'a>(&'a [u8]);

impl Plan<'_> {
    fn byte(&mut self) -> u8 {
        let Some((&first, rest)) = self.0.split_first() else { return 0 };
        self.0 = rest;
        first
    }

    fn below(&mut self, limit: u8) -> u8 {
        self.byte() % limit
    }

    fn choice(&mut self, of: &[&'static str]) -> &'static str {
        of[usize::from(self.byte()) % of.len()]
    }

    /// A number as exporters write it; now and then an odd one.
    fn number(&mut self) -> String {
        match (self.byte(), self.byte()) {
            (255, odd) => {
                ["nan", "-1.#IND", "1e308", "inf", "-0", "+.5", "7e-320", "1e999"][usize::from(odd % 8)].into()
            }
            (high, low) => format!("{:.2}", f64::from(i16::from_be_bytes([high, low])) / 100.0),
        }
    }
}

/// The file. The last byte damages it in one place, or leaves it whole.
pub fn bvh(bytes: &[u8]) -> Vec<u8> {
    let (&damage, bytes) = bytes.split_last().unwrap_or((&0, &[]));
    let mut plan = Plan(bytes);
    let comma = plan.below(8) == 0;
    let (skeleton, channels) = skeleton(&mut plan);
    let mut text = skeleton;
    let mut table = String::new();
    let mut rows = 0;
    while !plan.0.is_empty() && rows < 60 {
        let row: Vec<String> = (0..channels).map(|_| plan.number()).collect();
        table += &(row.join(if plan.below(32) == 0 { "\n" } else { " " }) + "\n");
        rows += 1;
    }
    let stated = if damage == 1 { 9 } else { rows };
    text += &format!("MOTION\nFrames: {stated}\nFrame Time: 0.01\n{table}");
    if comma {
        text = text.replace('.', ",");
    }
    damaged(text, damage)
}

/// One byte changed, or, three times of four, none.
fn damaged(text: String, damage: u8) -> Vec<u8> {
    let mut file = text.into_bytes();
    if damage & 3 == 3 {
        let at = (usize::from(damage) * file.len() / 256).max(10);
        file[at] = damage.wrapping_mul(37);
    }
    file
}

/// The TRC file. The last byte damages it in one place, or leaves it whole.
pub fn trc(bytes: &[u8]) -> Vec<u8> {
    let (&damage, bytes) = bytes.split_last().unwrap_or((&0, &[]));
    let mut plan = Plan(bytes);
    let between = plan.choice(&["\t", "\t", "\t", " ", ";", ","]);
    let end = plan.choice(&["\n", "\n", "\r\n", "\r"]);
    let markers = 1 + usize::from(plan.below(4));
    let mut lines = trc_head(&mut plan, markers);
    let first = f64::from(plan.below(4)) - 1.0;
    while !plan.0.is_empty() && lines.len() < 30 {
        let at = first + lines.len() as f64;
        lines.push(trc_row(&mut plan, markers, at));
    }
    let lines: Vec<String> = lines.iter().map(|cells| cells.join(between)).collect();
    let text = lines.join(end);
    damaged(if plan.below(8) == 0 { text.replace('.', ",") } else { text }, damage)
}

/// The header, line by line; a part may be missing or odd.
fn trc_head(plan: &mut Plan<'_>, markers: usize) -> Vec<Vec<String>> {
    let keys = "DataRate CameraRate NumFrames NumMarkers Units OrigDataRate OrigDataStartFrame OrigNumFrames";
    let keys: Vec<String> = keys.split(' ').map(str::to_owned).collect();
    let unit = plan.choice(&["mm", "m", "cm", "in", "ft", "MM ", "", "yd"]);
    let rate = plan.choice(&["100", "100.00", "240", "59.94", "0", "", "1e9", "-5"]);
    let frames = plan.choice(&["5", "20", "0", "99999999999", ""]);
    let stated = [rate, rate, frames, &markers.to_string(), unit, rate, "1", frames].map(str::to_owned).to_vec();
    let mut names = vec![plan.choice(&["Frame#", "Frame", "frame#", ""]).to_owned(), "Time".to_owned()];
    let mut axes = vec![String::new(); 2];
    let style = plan.below(6);
    for marker in 1..=markers {
        let name = plan.choice(&["LWRA", "R.Acc", "Left Wrist", "1", "a:LWRA", "Höhe", "X", ""]);
        names.extend([name, "", ""].map(str::to_owned));
        axes.extend(["X", "Y", "Z"].map(|axis| match style {
            0 => axis.to_owned(),
            1 => axis.to_lowercase(),
            _ => format!("{axis}{marker}"),
        }));
    }
    let mut lines =
        vec![["PathFileType", "4", "(X/Y/Z)", "a.trc"].map(str::to_owned).to_vec(), keys, stated, names, axes];
    match plan.below(16) {
        0 => drop(lines.remove(0)),
        odd @ 1..=3 => drop(lines.remove(usize::from(odd) + 1)),
        4..=9 => lines.push(Vec::new()),
        _ => {}
    }
    lines
}

/// A row of numbers; now and then short, long, blank or out of order, with a marker missing.
fn trc_row(plan: &mut Plan<'_>, markers: usize, at: f64) -> Vec<String> {
    let odd = plan.byte();
    let at = if odd < 250 { at } else { f64::from(odd - 250) };
    let mut row = vec![format!("{at}"), format!("{:.3}", at / 100.0)];
    for _ in 0..markers {
        let gap = plan.below(8) == 0;
        row.extend((0..3).map(|_| if gap { String::new() } else { plan.number() }));
    }
    match plan.below(32) {
        0 => row.truncate(3),
        1 => row.push(plan.number()),
        2 => row.clear(),
        3 => row.push(String::new()),
        _ => {}
    }
    row
}

fn skeleton(plan: &mut Plan<'_>) -> (String, u32) {
    let mut text = String::from("HIERARCHY\n");
    let (mut depth, mut joints, mut channels) = (0_u32, 0, 0);
    loop {
        let open = depth == 0 || (joints < JOINTS && plan.below(3) > 0);
        if depth == 0 && joints > 0 && (joints >= JOINTS || plan.below(4) > 0) {
            return (text, channels);
        }
        if open {
            let kind = if depth == 0 { "ROOT" } else { "JOINT" };
            let name = plan.below(16);
            let list: Vec<&str> = (0..plan.below(7)).map(|_| CHANNELS[usize::from(plan.below(6))]).collect();
            let list = if depth == 0 && list.is_empty() { vec!["Xposition"] } else { list };
            let offset = [plan.number(), plan.number(), plan.number()]
                .map(|x| if x.contains(['n', 'e', '#']) { "0".into() } else { x });
            text += &format!(
                "{kind} j{name} {{\nOFFSET {}\nCHANNELS {} {}\n",
                offset.join(" "),
                list.len(),
                list.join(" ")
            );
            depth += 1;
            joints += 1;
            channels += list.len() as u32;
        } else {
            if plan.below(2) == 0 {
                text += "End Site { OFFSET 0 1 0 }\n";
            }
            text += "}\n";
            depth -= 1;
        }
    }
}
