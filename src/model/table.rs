//! A table of the project: rows by identity, in a fixed order, cheap to copy until it is changed.

use std::collections::BTreeMap;
use std::sync::Arc;

/// Rows of one kind. Copying shares the rows; a change after a copy makes the changed row the copy's
/// own, and no other.
#[derive(Clone, Debug)]
pub struct Table<K: Ord + Clone, T: Clone>(Arc<BTreeMap<K, Arc<T>>>);

impl<K: Ord + Clone, T: Clone> Default for Table<K, T> {
    fn default() -> Self {
        Self(Arc::new(BTreeMap::new()))
    }
}

impl<K: Ord + Clone, T: Clone + PartialEq> PartialEq for Table<K, T> {
    fn eq(&self, other: &Self) -> bool {
        let is_equal = |a: &Arc<T>, b: &Arc<T>| Arc::ptr_eq(a, b) || a == b;
        Arc::ptr_eq(&self.0, &other.0)
            || self.0.len() == other.0.len()
                && self.0.iter().zip(other.0.iter()).all(|(a, b)| a.0 == b.0 && is_equal(a.1, b.1))
    }
}

impl<K: Ord + Copy, T: Clone> Table<K, T> {
    /// The row of this identity.
    pub fn get(&self, id: K) -> Option<&T> {
        self.0.get(&id).map(|row| &**row)
    }

    /// The row of this identity, to change.
    pub fn get_mut(&mut self, id: K) -> Option<&mut T> {
        if !self.0.contains_key(&id) {
            return None;
        }
        Arc::make_mut(&mut self.0).get_mut(&id).map(Arc::make_mut)
    }

    /// Puts a row under an identity and returns the row it replaces.
    pub fn put(&mut self, id: K, row: T) -> Option<T> {
        Arc::make_mut(&mut self.0).insert(id, Arc::new(row)).map(Arc::unwrap_or_clone)
    }

    /// Takes a row out.
    pub fn remove(&mut self, id: K) -> Option<T> {
        if !self.0.contains_key(&id) {
            return None;
        }
        Arc::make_mut(&mut self.0).remove(&id).map(Arc::unwrap_or_clone)
    }

    /// Whether there is such a row.
    pub fn contains(&self, id: K) -> bool {
        self.0.contains_key(&id)
    }

    /// All rows, lowest identity first.
    pub fn iter(&self) -> impl DoubleEndedIterator<Item = (K, &T)> + ExactSizeIterator {
        self.0.iter().map(|(id, row)| (*id, &**row))
    }

    /// All identities, lowest first.
    pub fn ids(&self) -> impl DoubleEndedIterator<Item = K> + ExactSizeIterator {
        self.0.keys().copied()
    }

    /// Number of rows.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether there is no row.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Rows of this table that an older copy does not share: those that were put or changed since.
    /// A row that was put again as it was counts as changed. What is gone is not listed.
    pub fn changed_since<'a>(&'a self, older: &'a Self) -> impl Iterator<Item = (K, &'a T)> {
        let mut old = older.0.iter().peekable();
        self.0.iter().filter_map(move |(id, row)| {
            while old.next_if(|(old_id, _)| *old_id < id).is_some() {}
            let is_kept = old
                .next_if(|(old_id, _)| *old_id == id)
                .is_some_and(|(_, old_row)| Arc::ptr_eq(old_row, row));
            (!is_kept).then_some((*id, &**row))
        })
    }

    /// Identities an older copy has and this table has not.
    pub fn gone_since(&self, older: &Self) -> impl Iterator<Item = K> {
        let mut new = self.0.keys().peekable();
        older.0.keys().copied().filter(move |id| {
            while new.next_if(|new_id| *new_id < id).is_some() {}
            new.next_if(|new_id| *new_id == id).is_none()
        })
    }

    /// Whether both tables share the same rows in memory: equal for certain, at no cost.
    pub fn is_same(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_copy_shares_every_row_until_it_is_changed() {
        let mut old: Table<u32, String> = Table::default();
        for (id, row) in [(2, "two"), (5, "five"), (7, "seven"), (9, "nine")] {
            assert_eq!(old.put(id, row.into()), None);
        }
        let mut new = old.clone();
        assert!(new.is_same(&old) && new == old);
        new.get_mut(5).unwrap().push('!');
        assert_eq!(new.put(3, "three".into()), None);
        assert_eq!(new.put(9, "nine".into()).as_deref(), Some("nine"));
        assert_eq!(new.remove(7).as_deref(), Some("seven"));
        assert!(!new.is_same(&old) && new != old);
        assert_eq!(old.get(5).unwrap(), "five", "the other copy keeps its row");
        let changed: Vec<(u32, &String)> = new.changed_since(&old).collect();
        let names: Vec<(u32, &str)> = changed.iter().map(|(id, row)| (*id, row.as_str())).collect();
        assert_eq!(names, [(3, "three"), (5, "five!"), (9, "nine")]);
        assert_eq!(new.gone_since(&old).collect::<Vec<_>>(), [7]);
        assert_eq!(old.gone_since(&new).collect::<Vec<_>>(), [3]);
        assert_eq!(old.changed_since(&old.clone()).count() + old.gone_since(&old).count(), 0);
        assert!(new.get_mut(8).is_none() && new.remove(8).is_none());
        // Equal by what the rows say, also where they are not shared.
        let again: Table<u32, String> = {
            let mut again = Table::default();
            new.iter().for_each(|(id, row)| drop(again.put(id, row.clone())));
            again
        };
        assert!(again == new && !again.is_same(&new));
    }
}
