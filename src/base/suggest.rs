//! The nearest spelling of a word among those that are known. Knows no particular words.

/// The word of `among` that `word` was most likely meant to be; `None` when nothing is near.
/// Of two equally near the first counts. Cost: length of the word squared, for each candidate.
pub fn suggest<'a>(word: &str, among: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let wanted = plain(word);
    let most = (wanted.len() / 3).max(1);
    let near = |known: &'a str| {
        let distance = slips(&wanted, &plain(known));
        (distance <= most && distance < wanted.len()).then_some((distance, known))
    };
    among.into_iter().filter_map(near).min_by_key(|&(distance, _)| distance).map(|(_, known)| known)
}

/// Small letters; hyphen, underline and space are one.
fn plain(word: &str) -> Vec<char> {
    let one = |c: char| if c == '_' || c == ' ' { '-' } else { c };
    word.chars().flat_map(char::to_lowercase).map(one).collect()
}

/// Letters left out, put in, changed, or two neighbours swapped: each counts one.
fn slips(a: &[char], b: &[char]) -> usize {
    let mut rows = vec![vec![0; b.len() + 1]; a.len() + 1];
    for (i, row) in rows.iter_mut().enumerate() {
        row[0] = i;
    }
    rows[0] = (0..=b.len()).collect();
    for i in 1..=a.len() {
        for j in 1..=b.len() {
            let changed = rows[i - 1][j - 1] + usize::from(a[i - 1] != b[j - 1]);
            let mut best = changed.min(rows[i - 1][j] + 1).min(rows[i][j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                best = best.min(rows[i - 2][j - 2] + 1);
            }
            rows[i][j] = best;
        }
    }
    rows[a.len()][b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_spelling_wins_and_far_ones_are_not_offered() {
        let known = ["inside", "outside", "length", "lip_height"];
        assert_eq!(suggest("outsied", known), Some("outside"));
        assert_eq!(suggest("lip-hieght", known), Some("lip_height"));
        assert_eq!(suggest("Length", known), Some("length"));
        assert_eq!(suggest("colour", known), None);
        assert_eq!(suggest("x", ["y"]), None);
    }
}
