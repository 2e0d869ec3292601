//! C3D files made byte by byte for the tests.

/// Values of a parameter.
#[derive(Clone, Debug)]
pub(super) enum Value {
    /// Strings, padded to the longest.
    Text(Vec<String>),
    /// Bytes.
    Bytes(Vec<u8>),
    /// Unsigned words.
    Words(Vec<u16>),
    /// Floats.
    Floats(Vec<f64>),
    /// Floats with dimensions.
    Table(Vec<u8>, Vec<f64>),
    /// Element type, dimensions, bytes as they stand.
    Raw(i8, Vec<u8>, Vec<u8>),
}

/// A file under construction.
#[derive(Clone, Debug)]
pub(super) struct Build {
    pub(super) processor: u8,
    /// Negative: floats.
    pub(super) scale: f64,
    /// Per frame, per point: x, y, z in units of the file, and the residual word.
    pub(super) frames: Vec<Vec<[f64; 4]>>,
    /// Analog values per frame.
    pub(super) analog: usize,
    /// Groups by name; the number is the place plus one.
    pub(super) groups: Vec<&'static str>,
    pub(super) parameters: Vec<(&'static str, &'static str, Value)>,
    /// Do the parameters stand before the groups, with names in lower case and locked?
    pub(super) odd_records: bool,
    /// Bytes that replace those of the finished file, from the header's first.
    pub(super) patches: Vec<(usize, Vec<u8>)>,
    pub(super) leading_zeros: usize,
    pub(super) rate: f64,
    pub(super) first_frame: u16,
}

impl Build {
    /// Two markers, three frames at 100 Hz, millimetres.
    pub(super) fn new(processor: u8, scale: f64) -> Build {
        let frame = |n: f64| vec![[n, 2.0 + n, -3.0, 0.0], [10.5 * n, 0.0, 1000.0 + n, 5.0]];
        let build = Build {
            processor,
            scale,
            frames: vec![frame(1.0), frame(2.0), frame(3.0)],
            analog: 0,
            groups: vec!["POINT", "ANALOG", "TRIAL", "EVENT"],
            parameters: Vec::new(),
            odd_records: false,
            patches: Vec::new(),
            leading_zeros: 0,
            rate: 100.0,
            first_frame: 1,
        };
        let build = build.with("POINT", "USED", Value::Words(vec![2])).with("POINT", "FRAMES", Value::Words(vec![3]));
        let build = build.with("POINT", "SCALE", Value::Floats(vec![scale]));
        let build = build.with("POINT", "RATE", Value::Floats(vec![100.0]));
        build.text("POINT", "LABELS", &["LWRA", "RWRA"]).text("POINT", "UNITS", &["mm"])
    }

    /// Floats of an Intel machine.
    pub(super) fn intel() -> Build {
        Build::new(84, -0.1)
    }

    /// Sets a parameter.
    pub(super) fn with(mut self, group: &'static str, name: &'static str, value: Value) -> Build {
        self = self.without(group, name);
        self.parameters.push((group, name, value));
        self
    }

    pub(super) fn text(self, group: &'static str, name: &'static str, text: &[&str]) -> Build {
        self.with(group, name, Value::Text(text.iter().map(|&text| text.to_owned()).collect()))
    }

    pub(super) fn words(self, group: &'static str, name: &'static str, words: &[u16]) -> Build {
        self.with(group, name, Value::Words(words.to_vec()))
    }

    pub(super) fn floats(self, group: &'static str, name: &'static str, floats: &[f64]) -> Build {
        self.with(group, name, Value::Floats(floats.to_vec()))
    }

    /// Takes a parameter out.
    pub(super) fn without(mut self, group: &str, name: &str) -> Build {
        self.parameters.retain(|(of, known, _)| (*of, *known) != (group, name));
        self
    }

    /// Replaces bytes of the finished file.
    pub(super) fn patch(mut self, offset: usize, bytes: impl Into<Vec<u8>>) -> Build {
        self.patches.push((offset, bytes.into()));
        self
    }

    /// Replaces the frames, and the counts that tell them.
    pub(super) fn frames(mut self, frames: Vec<Vec<[f64; 4]>>) -> Build {
        let (count, points) = (frames.len().min(65535) as u16, frames.first().map_or(0, Vec::len) as u16);
        self.frames = frames;
        self.words("POINT", "FRAMES", &[count]).words("POINT", "USED", &[points])
    }

    pub(super) fn word(&self, word: u16) -> [u8; 2] {
        if self.processor == 86 { word.to_be_bytes() } else { word.to_le_bytes() }
    }

    pub(super) fn float(&self, value: f64) -> [u8; 4] {
        match self.processor {
            86 => (value as f32).to_be_bytes(),
            85 if value == 0.0 => [0; 4],
            85 => {
                let [a, b, c, d] = (value as f32 * 4.0).to_le_bytes();
                [c, d, a, b]
            }
            _ => (value as f32).to_le_bytes(),
        }
    }

    fn element(&self, value: f64, scale: f64) -> Vec<u8> {
        if self.scale < 0.0 {
            self.float(value).to_vec()
        } else {
            self.word((value / scale).round() as i16 as u16).to_vec()
        }
    }

    fn record(&self, id: i8, name: &str, body: &[u8]) -> Vec<u8> {
        let name = if self.odd_records { name.to_lowercase() } else { name.to_owned() };
        let length = if self.odd_records { -(name.len() as i8) } else { name.len() as i8 };
        let offset = self.word(2 + body.len() as u16);
        [&[length as u8, id as u8], name.as_bytes(), &offset, body].concat()
    }

    fn parameter(&self, group: &str, name: &str, value: &Value) -> Vec<u8> {
        let id = self.groups.iter().position(|&known| known == group).map_or(100, |place| place as i8 + 1);
        let of_list = |count: usize| if count == 1 { vec![] } else { vec![count as u8] };
        let (kind, dims, data) = match value {
            Value::Text(list) => {
                let longest = list.iter().map(String::len).max().unwrap_or(0);
                let data: String = list.iter().map(|text| format!("{text:<longest$}")).collect();
                (-1, vec![longest as u8, list.len() as u8], data.into_bytes())
            }
            Value::Bytes(bytes) => (1, of_list(bytes.len()), bytes.clone()),
            Value::Words(words) => (2, of_list(words.len()), words.iter().flat_map(|&word| self.word(word)).collect()),
            Value::Floats(list) => (4, of_list(list.len()), list.iter().flat_map(|&value| self.float(value)).collect()),
            Value::Table(dims, list) => (4, dims.clone(), list.iter().flat_map(|&value| self.float(value)).collect()),
            Value::Raw(kind, dims, data) => (*kind, dims.clone(), data.clone()),
        };
        self.record(id, name, &[&[kind as u8, dims.len() as u8][..], &dims, &data, &[0]].concat())
    }

    /// The parameter section, padded to blocks.
    fn section(&self) -> Vec<u8> {
        let groups = (1..).zip(&self.groups).map(|(id, name): (i8, _)| self.record(-id, name, &[0]));
        let parameters = self.parameters.iter().map(|(group, name, value)| self.parameter(group, name, value));
        let records: Vec<Vec<u8>> =
            if self.odd_records { parameters.chain(groups).collect() } else { groups.chain(parameters).collect() };
        let mut section = [&[1, 0x50, 0, self.processor][..], &records.concat(), &[0, 0]].concat();
        section.resize(section.len().next_multiple_of(512), 0);
        section[2] = (section.len() / 512) as u8;
        section
    }

    fn header(&self, section: usize) -> Vec<u8> {
        let mut header = vec![0; 512];
        let points = self.frames.first().map_or(0, Vec::len) as u16;
        let last = self.first_frame.wrapping_add((self.frames.len() as u16).wrapping_sub(1));
        let words = [points, self.analog as u16, self.first_frame, last, 10];
        header[..2].copy_from_slice(&[2, 0x50]);
        for (place, word) in words.into_iter().enumerate() {
            header[2 + 2 * place..4 + 2 * place].copy_from_slice(&self.word(word));
        }
        header[12..16].copy_from_slice(&self.float(self.scale));
        header[16..18].copy_from_slice(&self.word(2 + section as u16 / 512));
        header[18..20].copy_from_slice(&self.word(u16::from(self.analog > 0)));
        header[20..24].copy_from_slice(&self.float(self.rate));
        header
    }

    /// The file.
    pub(super) fn bytes(&self) -> Vec<u8> {
        let section = self.section();
        let mut file = [self.header(section.len()), section].concat();
        for frame in &self.frames {
            for point in frame {
                file.extend(point[..3].iter().flat_map(|&value| self.element(value, self.scale)));
                file.extend(self.element(point[3], 1.0));
            }
            file.extend((0..self.analog).flat_map(|channel| self.element(channel as f64 + 7.0, 1.0)));
        }
        file.resize(file.len().next_multiple_of(512), 0);
        for (offset, bytes) in &self.patches {
            file[*offset..offset + bytes.len()].copy_from_slice(bytes);
        }
        [vec![0; self.leading_zeros], file].concat()
    }

    /// Start of the data, from the header's first byte.
    pub(super) fn data_start(&self) -> usize {
        512 + self.section().len()
    }
}
