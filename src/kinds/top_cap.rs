//! The headset's top cap: a plate with a skirt over the head tube and a hub on the ring, either or both.
//! Must not know what it covers.

use super::draft::{Draft, ring, wall};
use super::possible::{Impossible, ends};
use super::table::{Kind, Role, bore, height, knurl, outside};
use crate::quantity::Form;

pub(super) const TOP_CAP: Kind = Kind {
    name: "top-cap",
    about: "covers the upper bearing and hands the push to the compression ring",
    fields: &[
        bore("bore", "goes over the steerer"),
        outside("outside", "the plate and its skirt"),
        height("height", "thickness of the plate"),
        bore("skirt_inside", "inside of the skirt under the plate").with("skirt"),
        height("skirt_depth", "how far the skirt stands below the plate").with("skirt"),
        outside("hub_outside", "boss under the plate that presses on the ring").with("hub"),
        height("hub_depth", "how far the boss stands below the plate").with("hub"),
        knurl("how its rim is knurled; left out where it is smooth"),
    ],
    surfaces: &[
        ("bore", Role::Bore),
        ("outside", Role::Outside),
        ("skirt-inside", Role::Bore),
        ("skirt-outside", Role::Outside),
        ("hub", Role::Outside),
    ],
    columns: &["plate", "skirt", "hub"],
    marks: &["skirt", "hub"],
    usual: &[
        ("bore", 200, 450),
        ("outside", 280, 800),
        ("height", 5, 400),
        ("skirt_inside", 260, 750),
        ("skirt_depth", 1, 200),
        ("hub_outside", 220, 650),
        ("hub_depth", 1, 200),
    ],
    is: &[],
    asked: &super::asked::RING,
    build: top_cap,
};

fn top_cap(draft: &mut Draft) {
    let (bore, outside) = (draft.dim("bore"), draft.dim("outside"));
    let skirt = draft.maybe("skirt_inside").zip(draft.maybe("skirt_depth"));
    let hub = draft.maybe("hub_outside").zip(draft.maybe("hub_depth"));
    let deepest = deepest(draft, skirt.as_ref().map(|s| &s.1), hub.as_ref().map(|h| &h.1));
    let plate = ring(&draft.dim("height"), wall("bore", &bore), wall("outside", &outside));
    let top = draft.column("plate", deepest.clone(), vec![plate]);
    if let Some((inside, depth)) = &skirt {
        let segment = ring(depth, wall("skirt-inside", inside), wall("skirt-outside", &outside));
        draft.column("skirt", deepest.minus(depth), vec![segment]);
    }
    if let Some((outside, depth)) = &hub {
        let segment = ring(depth, wall("bore", &bore), wall("hub", outside));
        draft.column("hub", deepest.minus(depth), vec![segment]);
    }
    if let (Some((inside, _)), Some((hub, _))) = (&skirt, &hub) {
        draft.room(&inside.minus(hub), "the hub reaches into the skirt");
    }
    match (skirt, hub) {
        (Some(_), _) => draft.mark("skirt", false),
        (None, Some(_)) => draft.mark("hub", false),
        (None, None) => {}
    }
    draft.knurl("outside");
    draft.shape.height = top;
}

/// Heights count from the part's bottom, so it must be sure which of the two stands lower.
fn deepest(draft: &mut Draft, skirt: Option<&Form>, hub: Option<&Form>) -> Form {
    let (skirt, hub) = match (skirt, hub) {
        (Some(skirt), Some(hub)) => (skirt, hub),
        (one, other) => return one.or(other).cloned().unwrap_or_default(),
    };
    let ends = ends(&draft.shape.dims);
    let longer = skirt.minus(hub);
    if longer.least(&ends) >= 0 {
        return skirt.clone();
    }
    if longer.most(&ends) > 0 {
        let note = "over their tolerances either could stand lower, and heights count from the lowest";
        let mend = "measure both, or state their tolerances";
        let unsure = Impossible::new("skirt and hub are about as deep as each other", note, mend);
        draft.impossible.push(unsure.about(&[skirt, hub], &draft.shape.dims));
    }
    hub.clone()
}
