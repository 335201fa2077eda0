//! What a rule file may hold, as tables: read by their readers and told by the reference. Must not know what the checks
//! make of it.

use super::slots::{INTO, PUT_ON, WAYS};
use super::steps::REACHES;
use crate::base::Holds::{
    Choice, Count, Counts, Flag, LeastAndMost, Length, LengthOrNone, Lengths, Sizes, Table, Tables, Text, Texts,
};
use crate::base::Wanted::{Always, Else, May, Where};
use crate::base::{Layout, key};

/// What a headset and a system both may hold.
static LISTS: Layout = Layout {
    name: "rule-lists",
    header: "",
    place: "content/systems/NAME.toml, content/headsets/NAME.toml",
    about: "what a clamp system and the headset it draws in both may hold; what the headset lists comes first",
    keys: &[
        key("limits", Table(&LIMITS), May, "limits for the whole pile; the system's come before the headset's", "[limits]"),
        key("slot", Tables(&SLOT), May, "a place for parts, in the order in which they drop on", "[[slot]]"),
        key("sleeve", Tables(&SLEEVE), May, "a bore that goes over an outside", "[[sleeve]]"),
        key("press", Tables(&PRESS), May, "a wall that is pressed on a seat", "[[press]]"),
        key("thread", Tables(&THREAD), May, "a thread in its mate", "[[thread]]"),
        key("grip", Tables(&GRIP), May, "a clamp that holds layers together", "[[grip]]"),
        key("slit", Tables(&SLIT), May, "whether parts of a slot want a slit", "[[slit]]"),
        key("stand_out", Tables(&STAND_OUT), May, "how much of a surface must stand above others", "[[stand_out]]"),
        key("size", Tables(&SIZE), May, "a diameter that the system takes", "[[size]]"),
        key("path", Tables(&PATH), May, "the way of the push, from what turns down to the fork", "[[path]]"),
        key("before_riding", Tables(&BEFORE_RIDING), May, "a look or test before the ride", "[[before_riding]]"),
        key("step", Tables(&STEP), May, "one action on the bench", "[[step]]"),
        key("change", Tables(&CHANGE), May, "a change to a part for good, allowed as a last resort", "[[change]]"),
        key("free", Tables(&FREE), May, "what nothing is asked of, and why", "[[free]]"),
        key("any_size", Texts, May, "surfaces that may have any diameter here", "[\"fork.thread\"]"),
    ],
    also: &[],
};

pub static SYSTEM: Layout = Layout {
    name: "system",
    header: "",
    place: "content/systems/NAME.toml",
    about: "a clamp system; its prose is in NAME.md beside it",
    keys: &[
        key("name", Text, Always, "its name on pages", "\"Wide shim\""),
        key("short", Texts, May, "short names of the trade", "[\"HIC\"]"),
        key("summary", Text, Always, "one sentence on how it works", "\"A thick shim over the steerer carries the preload.\""),
        key("headset", Text, May, "the headset it draws in: a file in content/headsets/, or a built-in one", "\"integrated\""),
        key("pulled", Text, Always, "the slot of the part that is pulled or screwed down", "\"cap\""),
    ],
    also: &[&LISTS],
};

pub static HEADSET: Layout = Layout {
    name: "headset",
    header: "",
    place: "content/headsets/NAME.toml",
    about: "the slots, fits and steps of a headset, for all systems that draw it in",
    keys: &[],
    also: &[&LISTS],
};

pub static LIMITS: Layout = Layout {
    name: "limits",
    header: "[limits]",
    place: "a rule file",
    about: "limits for the whole pile, in mm; each must be in the system or its headset",
    keys: &[
        key("gap", LeastAndMost, Always, "least closing gap, and the most that one likes to see: a wider one is told, and is no fault", "[\"2\", \"5\"]"),
        key("seat", Length, Always, "least width on which a part rests", "\"0.5\""),
        key("still", Length, Always, "least distance of what turns from what stands still", "\"0.2\""),
    ],
    also: &[],
};

pub static SLOT: Layout = Layout {
    name: "slot",
    header: "[[slot]]",
    place: "a rule file",
    about: "a place for parts; slots stand in the order in which parts drop on, the fork first",
    keys: &[
        key("name", Text, Always, "its name in the rest of the file", "\"shim\""),
        key("kinds", Texts, Always, "kinds of parts that may stand there", "[\"spacer\", \"riser\"]"),
        key("count", Counts(9), Else("[1, 1]"), "fewest and most parts", "[0, 3]"),
        key("way", Choice(&WAYS), Else("\"as-drawn\""), "which way up they may go on", "\"either\""),
        key("brought", Flag, Else("false"), "the rider brings it: a deck", "true"),
        key("still", Texts, Where("the kind has columns that stand still"), "columns that stand still while the bars turn; \"*\" for the whole part", "[\"outer\"]"),
        key("rests_on", Texts, Always, "slots it may rest on; [\"*\"] for any. The fork's slot has none", "[\"top-cap\", \"spacer\"]"),
        key("may_touch", Texts, May, "slots that may carry it as well", "[\"thin-shim\"]"),
        key("host", Text, Where("it is set in another part, or lies loose in one"), "the slot it stands in", "\"fork\""),
        key("into", Choice(&INTO), Where("its height in the host is chosen"), "the end of the host by which it goes in", "\"top\""),
        key("by_hand", Length, Else("\"0\""), "how far off a hand may be that sets it at a height", "\"2\""),
        key("depth", LeastAndMost, Where("its height in the host is chosen"), "least and most distance below the host's end; the most may be \"none\"", "[\"8\", \"24\"]"),
        key("put_on", Choice(&PUT_ON), Always, "how it comes to its place", "\"from-above\""),
    ],
    also: &[],
};

pub static SLEEVE: Layout = Layout {
    name: "sleeve",
    header: "[[sleeve]]",
    place: "a rule file",
    about: "a bore over an outside: the clearance between them and the length they share",
    keys: &[
        key("outer", Text, Always, "the bore, as SLOT.SURFACE", "\"shim.inside\""),
        key("inner", Texts, Always, "the outside; of several the first that the plan has", "[\"fork.upper\", \"fork.steerer\"]"),
        key("clearance", Lengths, Always, "least and most play, by diameter", "[\"0.01\", \"0.3\"]"),
        key("overlap", LengthOrNone, Always, "least length they share, or \"none\"", "\"30\""),
        key("springs", Length, Else("\"0\""), "how far a split outer part springs open, by diameter", "\"0.1\""),
        key("or_none", Text, Where("the plan may have none of inner"), "why nothing need be there", "\"A fork with a race of its own has no seat.\""),
    ],
    also: &[],
};

pub static PRESS: Layout = Layout {
    name: "press",
    header: "[[press]]",
    place: "a rule file",
    about: "a wall that is pressed on a seat",
    keys: &[
        key("wall", Text, Always, "what is pressed on, as SLOT.SURFACE", "\"crown-race.bore\""),
        key("seat", Texts, Always, "what it is pressed on; of several the first that the plan has", "[\"fork.seat\"]"),
        key("tight", Lengths, Where("the part does not say itself which seats it fits"), "least and most interference", "[\"0.02\", \"0.25\"]"),
    ],
    also: &[],
};

pub static THREAD: Layout = Layout {
    name: "thread",
    header: "[[thread]]",
    place: "a rule file",
    about: "a thread in its mate: the length that engages and the travel that is left",
    keys: &[
        key("male", Texts, Always, "outside threads, as SLOT.SURFACE", "[\"bolt.thread\"]"),
        key("female", Texts, Always, "inside threads; of several the first that the plan has", "[\"star-nut.thread\", \"fork.insert-thread\"]"),
        key("engaged", Length, Always, "least length engaged, or \"computed\" from both materials", "\"computed\""),
        key("spare", LengthOrNone, Always, "least travel left before it bottoms, or \"none\"", "\"1\""),
    ],
    also: &[],
};

pub static GRIP: Layout = Layout {
    name: "grip",
    header: "[[grip]]",
    place: "a rule file",
    about: "a clamp that holds layers together; each neighbouring pair is a sleeve",
    keys: &[
        key("by", Text, Always, "the bore that its bolts close, as SLOT.SURFACE", "\"clamp.bore\""),
        key("layers", Tables(&LAYER), Always, "what is held, from the outside in", "[{ slot = \"bars\", least = \"30\" }, { slot = \"fork\", least = \"30\" }]"),
        key("past", Length, Always, "how far a slit reaches past the axis of each bolt", "\"3\""),
    ],
    also: &[],
};

pub static LAYER: Layout = Layout {
    name: "layer",
    header: "{ slot = … }",
    place: "in layers of a [[grip]]",
    about: "one layer of what a clamp holds",
    keys: &[
        key("slot", Text, Always, "its slot; an empty one is passed over", "\"bars\""),
        key("least", LengthOrNone, Where("it is the outermost or innermost that is always there"), "least length of it that is held, or \"none\"", "\"30\""),
    ],
    also: &[],
};

pub static SLIT: Layout = Layout {
    name: "slit",
    header: "[[slit]]",
    place: "a rule file",
    about: "whether parts of a slot want a slit",
    keys: &[
        key("slot", Text, Always, "the slot", "\"bars\""),
        key("wanted", Flag, Always, "true: there has to be one; false: none, or one that is bridged", "true"),
        key("bridged_by", Text, May, "a slot whose part bridges an unwanted slit", "\"sleeve\""),
        key("unbridged", Length, Else("\"0\""), "so much of it may lie beyond either end of the bridge", "\"2\""),
        key("bare", LengthOrNone, Where("a slit is wanted"), "so much of it may show above the clamp, or \"none\" for any", "\"25\""),
    ],
    also: &[],
};

pub static STAND_OUT: Layout = Layout {
    name: "stand_out",
    header: "[[stand_out]]",
    place: "a rule file",
    about: "how much of a surface must stand above what is beside it",
    keys: &[
        key("surface", Texts, Always, "the surface, as SLOT.SURFACE", "[\"fork.steerer\"]"),
        key("above", Texts, Always, "slots; the first that is filled counts", "[\"clamp\"]"),
        key("least", Length, Always, "at least so much of it", "\"10\""),
    ],
    also: &[],
};

pub static SIZE: Layout = Layout {
    name: "size",
    header: "[[size]]",
    place: "a rule file",
    about: "a diameter by which the system differs from others",
    keys: &[
        key("of", Texts, Always, "the surface, as SLOT.SURFACE; of several the first that the plan has", "[\"fork.upper\", \"fork.steerer\"]"),
        key("between", Lengths, Always, "least and most diameter", "[\"25.2\", \"25.5\"]"),
    ],
    also: &[],
};

pub static PATH: Layout = Layout {
    name: "path",
    header: "[[path]]",
    place: "a rule file",
    about: "one stop of the push on its way down, in order",
    keys: &[
        key("slot", Text, Always, "the slot it goes through", "\"upper-bearing\""),
        key("enters", Text, Where("only some columns of the part stand still"), "the column it comes in by", "\"inner\""),
        key("leaves", Text, Where("only some columns of the part stand still"), "the column it goes out by", "\"outer\""),
        key("optional", Flag, Else("false"), "may be left out where the slot is empty", "true"),
    ],
    also: &[],
};

pub static BEFORE_RIDING: Layout = Layout {
    name: "before_riding",
    header: "[[before_riding]]",
    place: "a rule file",
    about: "a look or test before the ride",
    keys: &[
        key("when", Texts, May, "said only where these slots are filled; \"no SLOT\": where it is empty", "[\"star-nut\"]"),
        key("say", Text, Always, "the sentence", "\"Twist the bars hard: they must not slip.\""),
    ],
    also: &[],
};

pub static STEP: Layout = Layout {
    name: "step",
    header: "[[step]]",
    place: "a rule file",
    about: "one action on the bench, in bench order; with a slot it is said once for each part there",
    keys: &[
        key("id", Text, Always, "its name in the rest of the file", "\"shim-on\""),
        key("slot", Text, May, "the slot whose part goes on now", "\"shim\""),
        key("when", Texts, May, "said only where these slots are filled; \"no SLOT\": where it is empty", "[\"star-nut\"]"),
        key("after", Texts, May, "steps that come before it, whatever the order of the file", "[\"cap-on\"]"),
        key("say", Text, Always, "what is done; {part}, {way}, {under} and other places are filled in", "\"Slide the {part} on, {way}, onto the {under}.\""),
        key("feel", Text, May, "what to feel or see before going on", "\"It slides by hand without wobble.\""),
        key(
            "undo",
            Text,
            May,
            "how it comes off again, where there is more to that than taking it off",
            "\"Turn the scooter over. Turn the {part} out with a {tool}.\"",
        ),
        key("held", Text, Where("nothing holds the part while the clamp is tightened"), "how it is kept where it was set", "\"Hold it up with a finger.\""),
        key("reach", Choice(&REACHES), Where("it has a slot"), "where it is reached from", "\"above\""),
        key("view", Choice(&super::picturing::VIEWS), May, "without a slot: what its picture shows", "\"laid-out\""),
        key("turns", Text, Where("view is \"from-above\""), "the slot of the part that is turned", "\"bars\""),
        key("to", Choice(&super::picturing::TURNED_TO), Where("view is \"from-above\""), "how that part stands in the end", "\"across\""),
        key("closes", Text, Where("it tightens a grip"), "the bore that its bolts close, as SLOT.SURFACE", "\"clamp.bore\""),
        key("away_from", Texts, May, "slots from whose slits this part's slit is turned away", "[\"shim\", \"clamp\"]"),
        key("upside_down", Flag, Else("false"), "what is worked on is upside down then: its picture shows it so", "true"),
        key("minutes", Count(480), May, "how long it takes", "2"),
        key("minutes_undone", Count(480), May, "how long it takes to undo", "1"),
    ],
    also: &[],
};

pub static CHANGE: Layout = Layout {
    name: "change",
    header: "[[change]]",
    place: "a rule file",
    about: "a change to a part that cannot be undone, where nothing goes without; metal only ever comes off",
    keys: &[
        key("id", Text, Always, "its name", "\"shim-faced\""),
        key("slot", Text, Always, "the slot of the part that is changed", "\"shim\""),
        key("size", Text, Where("a size becomes another"), "the field of that size", "\"length\""),
        key("adds", Sizes, Where("the part gets something it did not have"), "fields of a group, each with its deviations", "{ slit_width = \"2 ±0.5\", slit_length = \"60 ±2\" }"),
        key("between", Lengths, Where("a size becomes another"), "least and most that it may become", "[\"40\", \"50\"]"),
        key("step", Length, Where("a size becomes another"), "how far apart the lengths are that are tried", "\"0.5\""),
        key("within", Length, Where("a size becomes another"), "how exactly it can be made", "\"0.2\""),
        key("say", Text, Always, "how it is done; {part}, {size}, {window}, {within}, {off} are filled in", "\"Face the {part} to {size}.\""),
        key("feel", Text, May, "what to see before going on", "\"Both faces are square.\""),
        key("lost", Texts, Always, "what is lost by it: keys of [lost] in the words", "[\"warranty\"]"),
        key("minutes", Count(480), May, "how long it takes", "20"),
    ],
    also: &[],
};

pub static FREE: Layout = Layout {
    name: "free",
    header: "[[free]]",
    place: "a rule file",
    about: "what no other entry has to speak of, and why: walls, one slit, or one grip",
    keys: &[
        key("surface", Texts, Where("it is about walls"), "walls of which no fit is asked, as SLOT.SURFACE", "\"fork.thread\""),
        key("slit", Text, Where("it is about a slit"), "a slot whose parts may have a slit or none", "\"bars\""),
        key("grip", Text, Where("it is about a grip"), "a slot whose part nothing need hold", "\"bars\""),
        key("over", Texts, May, "beside surface: the bore is free over these alone", "[\"fork.upper\"]"),
        key("why", Text, Always, "why, for who reads the rule", "\"Nothing is screwed on the steerer here.\""),
    ],
    also: &[],
};

/// All of them, in the order in which they are told.
pub static ALL: [&Layout; 18] = [
    &SYSTEM, &HEADSET, &LISTS, &LIMITS, &SLOT, &SLEEVE, &PRESS, &THREAD, &GRIP, &LAYER, &SLIT, &STAND_OUT, &SIZE, &PATH,
    &BEFORE_RIDING, &STEP, &CHANGE, &FREE,
];
