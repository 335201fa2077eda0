//! One table of part kinds: their fields, surfaces and short forms. The reader, the rule checker,
//! suggestions and the reference page all read it. Must not know any particular part.

mod shape;

pub use shape::{
    Column, Cone, Cut, Drive, Features, NamedDim, Pinch, Segment, Shape, Taper, ThreadOn, Wall, WayMark,
};
