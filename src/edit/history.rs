//! Undo and redo: snapshots of the project, one step for each gesture.

use crate::edit::apply::{Applied, EditError, apply};
use crate::edit::edit_kind::Edit;
use crate::model::Project;

/// Counts changes; only ever grows, also on undo, so that an old result is never taken for current.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Revision(pub u64);

/// Edits of one gesture (a drag, a held arrow key) make one undo step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Gesture(pub u64);

/// How many steps are kept.
const STEPS_KEPT: usize = 500;

/// The project now, and what it was before and after.
#[derive(Clone, Debug)]
pub struct History {
    now: Project,
    revision: Revision,
    content: Revision,
    past: Vec<Step>,
    future: Vec<Step>,
    gesture: Option<Gesture>,
}

#[derive(Clone, Debug)]
struct Step {
    title: String,
    project: Project,
    /// When the project first was like this.
    content: Revision,
}

impl History {
    /// Starts with a project and nothing to undo.
    pub fn new(project: Project) -> Self {
        Self {
            now: project,
            revision: Revision(1),
            content: Revision(1),
            past: Vec::new(),
            future: Vec::new(),
            gesture: None,
        }
    }

    /// Starts with another project after `last`, so that revisions go on growing.
    pub fn renewed(project: Project, last: Revision) -> Self {
        let revision = Revision(last.0 + 1);
        Self { revision, content: revision, ..Self::new(project) }
    }

    /// The project as it is now.
    pub fn project(&self) -> &Project {
        &self.now
    }

    /// Revision of the project as it is now.
    pub fn revision(&self) -> Revision {
        self.revision
    }

    /// Revision at which the project first was as it is now: undo brings back the one from before.
    pub fn content(&self) -> Revision {
        self.content
    }

    /// Makes an edit. With a gesture, edits that follow under the same gesture join its step.
    ///
    /// # Errors
    /// The edit makes no sense; nothing has changed then.
    pub fn commit(&mut self, edit: Edit, gesture: Option<Gesture>) -> Result<Applied, EditError> {
        let title = edit.title(&self.now);
        let before = self.now.clone();
        let mut after = before.clone();
        let applied = apply(&mut after, edit)?;
        if after == before {
            return Ok(applied);
        }
        let joins = gesture.is_some() && gesture == self.gesture && !self.past.is_empty();
        if !joins {
            self.past.push(Step { title, project: before, content: self.content });
            if self.past.len() > STEPS_KEPT {
                self.past.remove(0);
            }
        }
        self.future.clear();
        self.gesture = gesture;
        self.now = after;
        self.revision.0 += 1;
        self.content = self.revision;
        Ok(applied)
    }

    /// Takes the last step back and returns its name.
    pub fn undo(&mut self) -> Option<String> {
        let step = self.past.pop()?;
        let next_id = self.now.next_id;
        let undone = std::mem::replace(&mut self.now, step.project);
        // Identities are never used twice, not even after undo.
        self.now.next_id = next_id;
        let content = std::mem::replace(&mut self.content, step.content);
        self.future.push(Step { title: step.title.clone(), project: undone, content });
        self.gesture = None;
        self.revision.0 += 1;
        Some(step.title)
    }

    /// Makes the step that was taken back again and returns its name.
    pub fn redo(&mut self) -> Option<String> {
        let step = self.future.pop()?;
        let next_id = self.now.next_id.max(step.project.next_id);
        let before = std::mem::replace(&mut self.now, step.project);
        self.now.next_id = next_id;
        let content = std::mem::replace(&mut self.content, step.content);
        self.past.push(Step { title: step.title.clone(), project: before, content });
        self.gesture = None;
        self.revision.0 += 1;
        Some(step.title)
    }

    /// Name of the step that undo would take back.
    pub fn undo_title(&self) -> Option<&str> {
        self.past.last().map(|step| step.title.as_str())
    }

    /// Name of the step that redo would make again.
    pub fn redo_title(&self) -> Option<&str> {
        self.future.last().map(|step| step.title.as_str())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::edit::{Item, parse_placing};
    use crate::geometry::point;

    fn history_with_resistor() -> (History, Item) {
        let mut history = History::new(Project::empty("test"));
        let applied = history.commit(Edit::Place(parse_placing("4k7").unwrap()), None).unwrap();
        let item = applied.created.iter().next().copied().unwrap();
        (history, item)
    }

    #[test]
    fn edits_of_one_gesture_are_one_step() {
        let (mut history, item) = history_with_resistor();
        let before = history.project().clone();
        for _ in 0..5 {
            let edit = Edit::Move { items: [item].into(), by: point(2.5, 0.0) };
            history.commit(edit, Some(Gesture(7))).unwrap();
        }
        assert_eq!(history.undo_title(), Some("move R1"));
        history.undo();
        assert_eq!(history.project().parts, before.parts);
        assert_eq!(history.undo_title(), Some("place resistor"));
    }

    #[test]
    fn an_identity_is_not_used_twice_after_undo() {
        let (mut history, item) = history_with_resistor();
        history.undo();
        let applied = history.commit(Edit::Place(parse_placing("1k").unwrap()), None).unwrap();
        assert!(!applied.created.contains(&item));
    }

    #[test]
    fn the_revision_only_grows_and_redo_brings_back_equal_tables() {
        let (mut history, item) = history_with_resistor();
        let edit = Edit::Turn([item].into());
        history.commit(edit, None).unwrap();
        let turned = history.project().clone();
        let mut last = history.revision();
        for _ in 0..3 {
            history.undo();
            assert!(history.revision() > last);
            last = history.revision();
            history.redo();
            assert!(history.revision() > last);
            last = history.revision();
            assert_eq!(history.project(), &turned);
        }
    }

    #[test]
    fn undo_and_redo_bring_back_the_content_they_lead_to() {
        let (mut history, item) = history_with_resistor();
        let placed = history.content();
        history.commit(Edit::Turn([item].into()), None).unwrap();
        let turned = history.content();
        history.undo();
        assert_eq!(history.content(), placed);
        history.redo();
        assert_eq!(history.content(), turned);
        history.undo();
        history.commit(Edit::Turn([item].into()), None).unwrap();
        assert!(![placed, turned].contains(&history.content()), "another way to the same sheet");
    }

    #[test]
    fn an_edit_that_changes_nothing_leaves_no_step() {
        let (mut history, item) = history_with_resistor();
        let edit = Edit::Move { items: [item].into(), by: point(0.0, 0.0) };
        history.commit(edit, None).unwrap();
        assert_eq!(history.undo_title(), Some("place resistor"));
    }
}
