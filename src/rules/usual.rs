//! Asks about limits of a rule file that are out of the ordinary: a point in the wrong place, say. Must not know which are usual.

use super::Rule;
use crate::base::{Problems, Span};
use crate::kinds::about_limit;
use crate::quantity::Length;

/// What is drawn in by several systems is asked about once.
pub fn ask(rule: &Rule, problems: &mut Problems) {
    for (name, value, at) in limits(rule) {
        let question = about_limit(name, value).map(|question| question.problem(at));
        problems.0.extend(question.filter(|question| !problems.0.contains(question)));
    }
}

/// Each length that a rule asks for, under the name its usual values have.
fn limits(rule: &Rule) -> Vec<(&'static str, Length, Span)> {
    let limits = &rule.limits;
    let mut all = vec![
        ("gap", limits.gap_least, rule.span),
        ("seat", limits.seat_least, rule.span),
        ("still", limits.still_least, rule.span),
    ];
    all.extend(limits.gap_wish.map(|wish| ("gap", wish, rule.span)));
    for sleeve in &rule.sleeves {
        all.push(("clearance", sleeve.clearance_most, sleeve.span));
        all.push(("springs", sleeve.springs, sleeve.span));
        all.extend(sleeve.overlap_least.map(|overlap| ("overlap", overlap, sleeve.span)));
    }
    for pair in &rule.threads {
        all.extend(pair.engagement_least.map(|engaged| ("engaged", engaged, pair.span)));
        all.extend(pair.spare_least.map(|spare| ("spare", spare, pair.span)));
    }
    for grip in &rule.grips {
        all.push(("past", grip.past, grip.span));
        let held = grip.layers.iter().filter_map(|layer| layer.least);
        all.extend(held.map(|least| ("held", least, grip.span)));
    }
    for slit in &rule.slits {
        all.push(("unbridged", slit.unbridged, slit.span));
        all.extend(slit.bare.map(|bare| ("bare", bare, slit.span)));
    }
    all
}
