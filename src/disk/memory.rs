//! How much memory the program has in use. Knows nothing of what it is used for.

use std::fs;

/// The pages of memory that Linux has on all the machines of today.
const PAGE: u64 = 4096;

/// Bytes in use now; nothing where the machine does not tell.
pub fn memory_in_use() -> Option<u64> {
    let told = fs::read_to_string("/proc/self/statm").ok()?;
    let pages: u64 = told.split(' ').nth(1)?.parse().ok()?;
    Some(pages * PAGE)
}

#[cfg(all(test, target_os = "linux"))]
mod tests {
    #[test]
    fn the_program_uses_more_than_nothing() {
        assert!(super::memory_in_use().is_some_and(|bytes| bytes > 100_000));
    }
}
