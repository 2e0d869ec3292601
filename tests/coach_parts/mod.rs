//! Everything that reads a part of a lesson's coaching loop, included by the smoke run of damaged lessons and the fuzz target.

use handpath::coach::practice::Practice;
use handpath::coach::{ball, captures, copy, fingerprint, intake, next, plan, rule_out};
use handpath::json::{Json, spelled};
use handpath::plain::Given;
use handpath::settings::Hand;

fn field(document: &Json, name: &str) -> Given {
    document.get(name).map_or(Given::Null, Json::given)
}

/// Reads every field of the loop, whatever stands there.
pub(crate) fn read_all(document: &Json) -> Practice {
    let of = |name: &str| field(document, name);
    let practice = Practice::of(&of("plan"), &of("log"));
    let _ = (practice.standing(), practice.progress(), practice.warnings());
    let _ = (intake::told(&of("intake")), captures::told(&of("captures"), Hand::Left), plan::Plan::take(&of("plan")));
    let asked = Given::Record(["captures", "setup", "looked"].map(|name| (name.to_owned(), of(name))).into());
    let _ = rule_out::told(&asked);
    let _ = next::told(&Given::Record(vec![("before".into(), of("setup")), ("after".into(), of("intake"))]));
    let _ = (ball::told(&of("setup"), Hand::Left, 2.0), captures::along(&of("captures")));
    let _ = document.get("plan").map(|plan| copy::told(&field(plan, "picture")));
    let _ = fingerprint::of(document, spelled);
    practice
}
