//! The numbers of ISO 286-1 for sizes over 3 up to 180 mm. Data only: no rule is applied here.
//!
//! Bands over 10 up to 80 mm: as reported by the secondary tables named row by row in
//! `tests/data/iso286_limits.csv` and `tests/data/iso286_it_grades.csv`. Bands 3 to 6, 6 to 10,
//! 80 to 120 and 120 to 180 mm, and the delta values that no row of those files covers: ISO 286-1
//! tables 1 to 3, from memory. The formulas behind the standard miss some of its values, so none is used.

/// One size band, over the end of the band before up to and including `upto_mm`. All others in micrometres.
pub(super) struct Band {
    pub upto_mm: i64,
    /// IT5 to IT12.
    pub grades: [i64; 8],
    /// Upper deviations of d, e, f, g without their minus sign.
    pub below: [i64; 4],
    /// Lower deviation of k, up to IT7.
    pub k: i64,
    pub m: i64,
    pub n: i64,
    pub p: i64,
    /// Delta for holes K, M, N (up to IT8) and P (up to IT7): IT5 to IT8.
    pub delta: [i64; 4],
}

pub(super) const OVER_MM: i64 = 3;
pub(super) const FIRST_GRADE: u8 = 5;
pub(super) const LAST_GRADE: u8 = 12;

pub(super) const BANDS: [Band; 8] = [
    Band {
        upto_mm: 6,
        grades: [5, 8, 12, 18, 30, 48, 75, 120],
        below: [30, 20, 10, 4],
        k: 1,
        m: 4,
        n: 8,
        p: 12,
        delta: [1, 3, 4, 6],
    },
    Band {
        upto_mm: 10,
        grades: [6, 9, 15, 22, 36, 58, 90, 150],
        below: [40, 25, 13, 5],
        k: 1,
        m: 6,
        n: 10,
        p: 15,
        delta: [2, 3, 6, 7],
    },
    Band {
        upto_mm: 18,
        grades: [8, 11, 18, 27, 43, 70, 110, 180],
        below: [50, 32, 16, 6],
        k: 1,
        m: 7,
        n: 12,
        p: 18,
        delta: [3, 3, 7, 9],
    },
    Band {
        upto_mm: 30,
        grades: [9, 13, 21, 33, 52, 84, 130, 210],
        below: [65, 40, 20, 7],
        k: 2,
        m: 8,
        n: 15,
        p: 22,
        delta: [3, 4, 8, 12],
    },
    Band {
        upto_mm: 50,
        grades: [11, 16, 25, 39, 62, 100, 160, 250],
        below: [80, 50, 25, 9],
        k: 2,
        m: 9,
        n: 17,
        p: 26,
        delta: [4, 5, 9, 14],
    },
    Band {
        upto_mm: 80,
        grades: [13, 19, 30, 46, 74, 120, 190, 300],
        below: [100, 60, 30, 10],
        k: 2,
        m: 11,
        n: 20,
        p: 32,
        delta: [5, 6, 11, 16],
    },
    Band {
        upto_mm: 120,
        grades: [15, 22, 35, 54, 87, 140, 220, 350],
        below: [120, 72, 36, 12],
        k: 3,
        m: 13,
        n: 23,
        p: 37,
        delta: [5, 7, 13, 19],
    },
    Band {
        upto_mm: 180,
        grades: [18, 25, 40, 63, 100, 160, 250, 400],
        below: [145, 85, 43, 14],
        k: 3,
        m: 15,
        n: 27,
        p: 43,
        delta: [6, 7, 15, 23],
    },
];
