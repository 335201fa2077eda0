//! Whether a site still lies in its folder as a run left it, byte for byte. Knows no compiler and no book: what the site was made
//! from is a number to it.

use std::collections::BTreeMap;
use std::path::Path;

use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use super::found::{put_own, read_found};
use super::ledger::Ledger;
use super::page_path::folders_of;
use super::site_folder::Pages;
use super::{PublishTrouble, is_page_path};
use crate::disk::{self, read_if_there};

/// Lies in the site's folder. It may be deleted at any time.
const LEFT_NAME: &str = ".benchleaf-left";
/// Longer than any: what lies beyond is not read, and then the sum is wrong.
const MOST_BYTES: u64 = 256 << 20;

type Sum = [u8; blake3::OUT_LEN];

/// How a run left a site.
#[derive(Debug, Serialize, Deserialize)]
struct Left {
    /// Equal for runs that come to the same pages.
    made_from: Sum,
    /// What the run said besides.
    told: String,
    /// Of each page, by its path.
    pages: BTreeMap<String, Sum>,
    /// Of what the run left for the next one.
    found: Sum,
}

/// A site that no run can make otherwise than it lies there.
#[derive(Debug, PartialEq, Eq)]
pub struct Untouched {
    pub pages: Vec<String>,
    /// What the run said that made it.
    pub told: String,
}

/// `None` where the site was made from something else, or anything that a run writes is not there as it was left: a page that was
/// changed or removed, one too many, a link in its place.
pub fn untouched(into: &Path, made_from: Sum) -> Option<Untouched> {
    let bytes = read_if_there(&into.join(LEFT_NAME), MOST_BYTES).ok().flatten()?;
    let (sum, rest) = bytes.split_at_checked(blake3::OUT_LEN)?;
    if *blake3::hash(rest).as_bytes() != *sum {
        return None;
    }
    let left: Left = postcard::from_bytes(rest).ok().filter(|left: &Left| left.made_from == made_from)?;
    let ledger = Ledger::read(into).ok()?;
    let as_left = |(page, sum): (&String, &Sum)| {
        is_page_path(page)
            && folders_of(page).all(|folder| disk::is_real_folder(&into.join(folder)))
            && read_if_there(&into.join(page), u64::MAX)
                .is_ok_and(|bytes| bytes.is_some_and(|b| sum_of(&b) == *sum))
    };
    let same = ledger.pages.iter().eq(left.pages.keys())
        && read_found(into).is_some_and(|found| sum_of(&found) == left.found)
        && left.pages.par_iter().all(as_left);
    same.then(|| Untouched { pages: left.pages.into_keys().collect(), told: left.told })
}

/// To be called when the site is published and what the run found is beside it.
pub fn leave(into: &Path, made_from: Sum, pages: &Pages, told: &str) -> Result<(), PublishTrouble> {
    let sums = pages.par_iter().map(|(page, bytes)| (page.clone(), sum_of(bytes))).collect();
    let found = sum_of(&read_found(into).unwrap_or_default());
    let left = Left { made_from, told: told.to_owned(), pages: sums, found };
    let mut bytes = postcard::to_extend(&left, vec![0; blake3::OUT_LEN]).unwrap_or_default();
    if let Some((sum, rest)) = bytes.split_at_mut_checked(blake3::OUT_LEN) {
        sum.copy_from_slice(blake3::hash(rest).as_bytes());
    }
    put_own(into, LEFT_NAME, &bytes)
}

fn sum_of(bytes: &[u8]) -> Sum {
    *blake3::hash(bytes).as_bytes()
}
