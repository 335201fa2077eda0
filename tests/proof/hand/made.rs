//! Books made of the demo book, with a rule or a few parts written anew, and plans in them: what the demo book itself has none of. Must
//! not know whether they go.

use super::lists::{Plan, plans_of};
use crate::angled::{Angles, demo_at};
use crate::book::Book;
use crate::changed_demo::{as_changes, book, of_part};

pub struct Made {
    pub name: &'static str,
    pub book: Book,
    pub plans: Vec<Plan>,
}

/// File, what stands there, what stands there instead.
pub type Change = (String, String, String);

const CAP_IN_CLAMP: &str = "content/systems/cap-in-clamp.toml";
const WIDE_SHIM: &str = "content/systems/wide-shim.toml";
const PULLED: &str = "content/systems/pulled-from-below.toml";
const BARS: &str = "parts/upper/bars.toml";
const SHIMS: &str = "parts/upper/shims.toml";
const DECKS: &str = "parts/decks.toml";
const HEADSET: &str = "parts/headset/integrated.toml";

const HELD: &str =
    "put_on = \"chosen\"\nhost = \"bars\"\ninto = \"bottom\"\ndepth = [\"0\", \"1\"]\nby_hand = \"0.5\"\n";

pub fn of_rule(file: &str, from: &str, to: &str) -> Change {
    (file.to_string(), from.to_string(), to.to_string())
}

pub fn made(name: &'static str, changes: &[Change], plans: &str) -> Made {
    let book = book(&as_changes(changes));
    let plans = plans_of(&book, plans);
    Made { name, book, plans }
}

/// The sleeve in slit bars, with the bars' foot on the cap: bridges so much, and so much of the slit may show above the clamp.
fn sleeve(open: &str) -> Vec<Change> {
    vec![of_rule(
        CAP_IN_CLAMP,
        "unbridged = \"1\"\nbare = \"25\"",
        &format!("unbridged = \"{open}\"\nbare = \"32\""),
    )]
}

/// Nothing holds the sleeve.
pub fn loose_sleeve(open: &str) -> Vec<Change> {
    let mut changes = sleeve(open);
    changes.push(of_rule(CAP_IN_CLAMP, HELD, "put_on = \"loose\"\nhost = \"bars\"\n"));
    changes.push(of_rule(
        CAP_IN_CLAMP,
        "feel = \"It stays in by itself and bridges the slit.\"\nheld = \"the tape",
        "feel = \"The tape",
    ));
    changes
}

/// A hand sets it between these depths, off by so much.
pub fn held_sleeve(open: &str, depth: &str, by_hand: &str) -> Vec<Change> {
    let mut changes = sleeve(open);
    let set = HELD.replace("\"0\", \"1\"", depth).replace("\"0.5\"", &format!("\"{by_hand}\""));
    changes.push(of_rule(CAP_IN_CLAMP, HELD, &set));
    changes
}

/// A floor in the bars stops the sleeve a few millimetres up.
pub fn floor(depth: &str) -> Change {
    let long = "tube_length = \"560 ±1\"";
    of_part(BARS, "bars-mere", long, &format!("{long}\ninside_depth = \"{depth}\""))
}

pub const SLEEVED: &str = "\
cap-in-clamp fork=fork-tern crown-race=race-30 lower-bearing^=bearing-45 head-tube=deck-curlew upper-bearing=bearing-45 ring=ring-standard top-cap=top-cap-standard star-nut=star-nut-22 clamp=clamp-sluice cap=cap-pan bolt=bolt-m8-40 bar-sleeve=sleeve-28 bars=bars-mere
";

pub const HERON: &str = "\
wide-shim fork=fork-heron crown-race=race-30 lower-bearing^=bearing-45 head-tube=deck-curlew upper-bearing=bearing-45 ring=ring-standard top-cap=top-cap-standard shim=shim-alder star-nut=star-nut-22 cap=cap-pan bolt=bolt-m8-40 bars=bars-broad clamp=clamp-hatch
";

pub const STILT: &str = "\
stepped-steerer fork=fork-stilt crown-race=race-30 lower-bearing^=bearing-45 head-tube=deck-curlew upper-bearing=bearing-45 ring=ring-standard top-cap=top-cap-tall shim=shim-birch star-nut=star-nut-19-m6 liner=liner-willow cap=cap-dish-m6 bolt=bolt-m6-40 bars=bars-carr clamp=clamp-oriel
";

pub const MOORHEN: &str = "\
locknut fork=fork-moorhen crown-race=race-30 lower-bearing^=bearing-45 head-tube=deck-curlew upper-bearing=bearing-45 threaded-race=threaded-race-28 washer=washer-28 locknut=locknut-28 quill=quill-marram bars=bars-mere clamp=clamp-cotter-short
";

/// A thin shim in a longer one.
const NESTED: &str = "\
wide-shim fork=fork-egret crown-race=race-30 lower-bearing^=bearing-45 head-tube=deck-curlew upper-bearing=bearing-45 ring=ring-slim top-cap=top-cap-slim spacer=spacer-25-5 thin-shim=shim-sedge shim=shim-hazel cap=cap-pan bolt=bolt-m8-30 bars=bars-broad clamp=clamp-hatch
wide-shim fork=fork-egret crown-race=race-30 lower-bearing^=bearing-45 head-tube=deck-curlew upper-bearing=bearing-45 ring=ring-slim top-cap=top-cap-slim thin-shim=shim-sedge shim=shim-yew cap=cap-pan bolt=bolt-m8-40 bars=bars-broad clamp=clamp-hatch
wide-shim fork=fork-egret crown-race=race-30 lower-bearing^=bearing-45 head-tube=deck-curlew upper-bearing=bearing-45 ring=ring-slim top-cap=top-cap-slim spacer=spacer-25-5 thin-shim=shim-tansy shim=shim-hazel cap=cap-pan bolt=bolt-m8-30 bars=bars-broad clamp=clamp-hatch
";

/// Its slotted end up, and down.
const SLOTTED: &str = "\
wide-shim fork=fork-egret crown-race=race-30 lower-bearing^=bearing-45 head-tube=deck-curlew upper-bearing=bearing-45 ring=ring-slim top-cap=top-cap-slim spacer=spacer-25-5 thin-shim=shim-sedge shim=shim-hazel cap=cap-pan bolt=bolt-m8-30 bars=bars-broad clamp=clamp-hatch
wide-shim fork=fork-egret crown-race=race-30 lower-bearing^=bearing-45 head-tube=deck-curlew upper-bearing=bearing-45 ring=ring-slim top-cap=top-cap-slim spacer=spacer-25-5 thin-shim^=shim-sedge shim=shim-hazel cap=cap-pan bolt=bolt-m8-30 bars=bars-broad clamp=clamp-hatch
";

/// One of each system.
const SEATED: [&str; 5] = [HERON, STILT, MOORHEN, PLAIN, BELOW];

const PLAIN: &str = "\
cap-in-clamp fork=fork-tern crown-race=race-30 lower-bearing^=bearing-45 head-tube=deck-curlew upper-bearing=bearing-45 ring=ring-standard top-cap=top-cap-standard star-nut=star-nut-22 clamp=clamp-sluice cap=cap-pan bolt=bolt-m8-40 bars=bars-fen
";

const BELOW: &str = "\
pulled-from-below fork=fork-dipper crown-race=race-30 lower-bearing^=bearing-45 head-tube=deck-curlew upper-bearing=bearing-45 ring=ring-standard top-cap=top-cap-standard bars=bars-mere star-nut=star-nut-28 bolt^=bolt-m8-200 clamp=clamp-cotter-short
";

/// Clamps and star nuts anywhere in a window.
const BY_HAND: &str = "\
wide-shim fork=fork-heron crown-race=race-30 lower-bearing^=bearing-45 head-tube=deck-curlew upper-bearing=bearing-45 ring=ring-standard top-cap=top-cap-standard shim=shim-alder star-nut=star-nut-22 cap=cap-pan bolt=bolt-m8-40 bars=bars-broad clamp=clamp-hatch
wide-shim fork=fork-egret crown-race=race-30 lower-bearing^=bearing-45 head-tube=deck-curlew upper-bearing=bearing-45 ring=ring-slim top-cap=top-cap-slim spacer=spacer-25-5 thin-shim=shim-tansy shim=shim-hazel cap=cap-pan bolt=bolt-m8-30 bars=bars-broad clamp=clamp-hatch
pulled-from-below fork=fork-dipper crown-race=race-30 lower-bearing^=bearing-45 head-tube=deck-dunlin upper-bearing=bearing-45 ring=ring-standard top-cap=top-cap-standard bars=bars-mere star-nut=star-nut-28 bolt^=bolt-m8-200 clamp=clamp-cotter-short
";

const LOOSE_SHIM: &str = "\
kinds = [\"shim\"]
count = [0, 1]
put_on = \"loose\"
host = \"shim\"
way = \"either\"
rests_on = [\"top-cap\", \"spacer\"]
";

const OPEN: &str = "loose sleeve, nothing to stop it";
const LOW_FLOOR: &str = "loose sleeve that may carry the bars";
/// Books in which next to nothing goes.
pub const NONE_GOES: [&str; 2] = [OPEN, LOW_FLOOR];

/// Everything loose, held or chosen by hand.
pub fn kept() -> Vec<Made> {
    let with_floor = |mut changes: Vec<Change>, depth: &str| {
        changes.push(floor(depth));
        changes
    };
    let thin = of_rule(
        WIDE_SHIM,
        "name = \"thin-shim\"\nkinds = [\"shim\"]\ncount = [0, 1]\nput_on = \"from-above\"\nway = \"either\"\n\
         rests_on = [\"top-cap\", \"spacer\"]\n",
        &format!("name = \"thin-shim\"\n{LOOSE_SHIM}"),
    );
    let long = of_part(SHIMS, "shim-yew", "length = \"60 ±0.1\"", "length = \"60.5 ±0.1\"");
    let slot = "slot = \"3 ±0.2\"";
    let slotted = of_part(SHIMS, "shim-sedge", slot, &format!("{slot}\nslot_length = \"38 ±0.2\""));
    let clamp = of_rule(
        WIDE_SHIM,
        "name = \"clamp\"\nkinds = [\"clamp\"]\nput_on = \"chosen\"\n",
        "name = \"clamp\"\nkinds = [\"clamp\"]\nput_on = \"chosen\"\nby_hand = \"0.5\"\n",
    );
    let nut = of_rule(
        WIDE_SHIM,
        "depth = [\"8\", \"24\"]\nby_hand = \"0.5\"\n",
        "depth = [\"8\", \"24\"]\nby_hand = \"0.75\"\n",
    );
    let below =
        of_rule(PULLED, "[\"40\", \"120\"]\nby_hand = \"0.5\"\n", "[\"40\", \"120\"]\nby_hand = \"1\"\n");
    vec![
        made("loose sleeve", &with_floor(loose_sleeve("7"), "69.5 ±0.1"), SLEEVED),
        made(OPEN, &loose_sleeve("7"), SLEEVED),
        made(LOW_FLOOR, &with_floor(loose_sleeve("7"), "64.3 ±0.5"), SLEEVED),
        made("held sleeve", &held_sleeve("2", "\"0\", \"2\"", "0.5"), SLEEVED),
        made("held sleeve as in the book", &held_sleeve("1", "\"0\", \"1\"", "0.5"), SLEEVED),
        made("loose shim", &[thin.clone(), long], NESTED),
        made("loose shim, slotted part of its length", &[thin, slotted], SLOTTED),
        made("clamp and nuts set by hand", &[clamp, nut, below], BY_HAND),
    ]
}

/// Seats of all kinds.
pub fn seats() -> Vec<Made> {
    let flat = [
        of_part(
            DECKS,
            "deck-curlew",
            "seat_depth = \"6.5 ±0.04\"\nseat_angle = \"45\"",
            "seat_depth = \"8.375 ±0.04\"\nseat_angle = \"90\"",
        ),
        of_part(HEADSET, "bearing-45", "outer_chamfer = \"1.8 ±0.02\"", "outer_chamfer = \"0.8 ±0.02\""),
    ];
    let steep = demo_at(Angles { inner: 36.0, outer: 36.0 });
    let odd = demo_at(Angles { inner: 33.3, outer: 52.0 });
    let plans = |book: &Book| plans_of(book, &SEATED.concat());
    vec![
        made("flat seats", &flat, &SEATED.concat()),
        Made { name: "36 degrees", plans: plans(&steep), book: steep },
        Made { name: "33.3 and 52 degrees", plans: plans(&odd), book: odd },
    ]
}
