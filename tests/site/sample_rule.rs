//! A clamp system as a rule, for pages. Must not know a page.

use benchleaf::base::{FileId, Span};
use benchleaf::quantity::Length;
use benchleaf::rules::{Limits, PathStep, PutOn, Rule, Sleeve, Slot, SlotIx, SurfaceRef};

pub fn rule(id: &str, name: &str) -> Rule {
    let at = Span::new(FileId(0), 0..0);
    let slot = |order, name: &str, kind: &'static str, put_on| Slot {
        name: name.into(),
        kinds: vec![kind],
        least: 1,
        most: 2,
        put_on,
        as_drawn: true,
        turned: kind == "shim",
        brought: false,
        still: vec![],
        rests_on: vec![],
        may_touch: vec![],
        host: None,
        order,
        span: at,
    };
    Rule {
        id: id.into(),
        name: name.into(),
        short: vec!["SA".into()],
        summary: "A shim over the steerer.".into(),
        prose: String::new(),
        slots: vec![
            slot(0, "fork", "fork", PutOn::Fixed),
            slot(2, "wide-shim", "shim", PutOn::FromAbove),
            slot(1, "cap", "cap", PutOn::FromAbove),
        ],
        sleeves: vec![Sleeve {
            outer: SurfaceRef { slot: SlotIx(1), surface: "inside" },
            inner: vec![SurfaceRef { slot: SlotIx(0), surface: "steerer" }],
            clearance_least: Length::um(0),
            clearance_most: Length::um(300),
            overlap_least: Some(Length::mm(30)),
            springs: Length::um(0),
            span: at,
        }],
        presses: vec![],
        threads: vec![],
        grips: vec![],
        slits: vec![],
        stand_outs: vec![],
        sizes: vec![],
        pulled: SlotIx(2),
        path: vec![PathStep { slot: SlotIx(1), enters: None, leaves: None, optional: false }],
        limits: Limits {
            gap_least: Length::um(500),
            gap_wish: Some(Length::mm(4)),
            seat_least: Length::um(300),
            still_least: Length::um(300),
        },
        changes: vec![],
        steps: vec![],
        before_riding: vec![],
        span: at,
    }
}
