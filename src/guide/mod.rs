//! Steps, need, use, leave, reasons: finished text and plain public fields. No HTML, no SVG.

mod page;

pub use page::{
    AlternativeRow, DeckRow, Guide, GuideAnswer, GuideStep, LeaveRow, MeasuringStep, NeedRow, NumberRow,
    PartRow, RevisionText, UseRow,
};
