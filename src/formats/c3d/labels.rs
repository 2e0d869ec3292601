//! Which points are markers, their names and units.

use super::parameters::Parameters;
use crate::formats::LengthUnit;
use crate::formats::names::make_unique;
use crate::letters::{is_in, trim_end};
use crate::order;
use crate::words::Message;

/// A point that is a position.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Marker {
    /// Place among the points of a frame.
    pub(super) index: usize,
    /// Unique name, with its subject prefix where the file has one.
    pub(super) name: String,
    pub(super) unit: Option<LengthUnit>,
}

/// POINT parameters that list model outputs stored among the points, in other units than lengths.
const MODEL_LISTS: &str = "ANGLES FORCES MOMENTS POWERS SCALARS REACTIONS";

/// The markers among the points of a frame.
pub(super) fn markers(parameters: &Parameters<'_>, points: usize, warnings: &mut Vec<Message>) -> Vec<Marker> {
    let labels = joined(parameters, "LABELS");
    let units = units(parameters, points, warnings);
    let outputs = model_outputs(parameters);
    let mut unnamed = 0_usize;
    let mut markers = Vec::new();
    for (index, unit) in units.into_iter().enumerate() {
        let name = match labels.get(index) {
            Some(label) if is_model_output(label, &outputs) => continue,
            Some(label) if !label.is_empty() => label.clone(),
            _ => {
                unnamed += 1;
                format!("point {}", index + 1)
            }
        };
        markers.push(Marker { index, name, unit });
    }
    if markers.len() < points {
        warnings.push(Message::new("c3d.model_outputs").with("count", points - markers.len()));
    }
    if unnamed > 0 {
        warnings.push(Message::new("c3d.unnamed_points").with("count", unnamed));
    }
    warnings.extend(number_repeats(&mut markers));
    markers
}

fn number_repeats(markers: &mut [Marker]) -> Option<Message> {
    let mut names: Vec<String> = markers.iter_mut().map(|marker| std::mem::take(&mut marker.name)).collect();
    let repeated = make_unique(&mut names);
    markers.iter_mut().zip(names).for_each(|(marker, name)| marker.name = name);
    let name = repeated.first()?.as_str();
    Some(Message::new("c3d.repeated_names").with("count", repeated.len()).with("name", name))
}

/// Parameters of 255 names that 65535 points take.
const MOST_LISTS: usize = 257;

/// A list that may go on in NAME2, NAME3 ...: a dimension is a byte, so one parameter holds at most 255.
fn joined(parameters: &Parameters<'_>, name: &str) -> Vec<String> {
    let mut list = parameters.strings("POINT", name);
    for number in 2..=MOST_LISTS {
        let more = parameters.strings("POINT", &format!("{name}{number}"));
        if more.is_empty() {
            break;
        }
        list.extend(more);
    }
    list
}

/// Labels of all model outputs, sorted: the usual lists, those with a MODELED_ before or a number behind their name,
/// and the lists that TYPE_GROUPS names.
fn model_outputs(parameters: &Parameters<'_>) -> Vec<String> {
    let named: Vec<String> =
        parameters.strings("POINT", "TYPE_GROUPS").iter().map(|name| name.to_ascii_uppercase()).collect();
    let is_list = |name: &str| {
        let name = trim_end(name.strip_prefix("MODELED_").unwrap_or(name), |c| c.is_ascii_digit());
        let holds_markers = is_in("LABELS DESCRIPTIONS UNITS MARKERS TYPE_GROUPS", name);
        is_in(MODEL_LISTS, name) || (!holds_markers && named.iter().any(|list| list == name))
    };
    let lists = parameters.in_group("POINT").filter(|parameter| is_list(parameter.name()));
    let labels = lists.flat_map(|parameter| parameter.strings()).filter(|label| !label.is_empty());
    let mut labels: Vec<String> = labels.collect();
    order::sort(&mut labels);
    labels
}

/// Lists name outputs with or without the subject prefix.
fn is_model_output(label: &str, outputs: &[String]) -> bool {
    let listed = |name: &str| outputs.binary_search_by(|output| output.as_str().cmp(name)).is_ok();
    listed(label) || label.rsplit_once(':').is_some_and(|(_, name)| listed(name))
}

/// One unit per point. POINT:UNITS holds one for all, or one per point.
fn units(parameters: &Parameters<'_>, points: usize, warnings: &mut Vec<Message>) -> Vec<Option<LengthUnit>> {
    let written = joined(parameters, "UNITS");
    let stated: Vec<&String> = written.iter().filter(|unit| !unit.is_empty()).collect();
    let Some(first) = stated.first() else { return vec![None; points] };
    let different = order::distinct(&stated);
    if different > 1 {
        warnings.push(Message::new("c3d.units_differ").with("units", different));
        return (0..points).map(|index| written.get(index).and_then(|unit| LengthUnit::parse(unit))).collect();
    }
    let unit = LengthUnit::parse(first);
    if unit.is_none() {
        warnings.push(Message::new("c3d.unit_unknown").with("unit", first.as_str()));
    }
    vec![unit; points]
}
