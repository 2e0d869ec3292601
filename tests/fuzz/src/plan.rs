//! A BVH file from arbitrary bytes: each byte is a decision, so that any bytes make a file that is nearly whole.

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
    let mut file = text.into_bytes();
    if damage & 3 == 3 {
        let at = (usize::from(damage) * file.len() / 256).max(10);
        file[at] = damage.wrapping_mul(37);
    }
    file
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
