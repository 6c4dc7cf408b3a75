//! Saving: the new file whole, or the old file as it was and nothing left lying about.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on stops")]

use std::fs;
use std::path::Path;
use std::process::Command;

use ohmloom::files::FileError;
use ohmloom::model::Project;
use ohmloom::{files, store, testing};

/// Names in a folder, sorted.
fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

#[test]
fn a_saved_project_is_opened_equal_and_saved_equal() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("job.ohmloom");
    let project = testing::project(1, 12);
    files::save(&path, &project).unwrap();
    assert_eq!(files::load(&path), Ok(project.clone()));
    let first = fs::read(&path).unwrap();
    files::save(&path, &project).unwrap();
    assert_eq!(fs::read(&path).unwrap(), first);
    assert_eq!(names(folder.path()), ["job.ohmloom"]);
}

#[test]
fn a_project_that_could_not_be_opened_again_is_not_written() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("job.ohmloom");
    let good = testing::project(1, 12);
    files::save(&path, &good).unwrap();
    let mut bad = good.clone();
    bad.settings.length_factor = f64::NAN;
    let error = files::save(&path, &bad).unwrap_err();
    assert!(matches!(error, FileError::NotReadable { .. }), "{error}");
    assert!(error.to_string().contains("settings.length_factor"), "{error}");
    assert_eq!(files::load(&path), Ok(good));
    assert_eq!(names(folder.path()), ["job.ohmloom"]);
}

#[test]
fn impossible_places_are_named() {
    let folder = tempfile::tempdir().unwrap();
    let project = Project::empty("x");
    fs::create_dir(folder.path().join("folder.ohmloom")).unwrap();
    fs::write(folder.path().join("file"), "").unwrap();
    for (name, want) in [
        ("folder.ohmloom", "a folder"),
        ("missing/job.ohmloom", "there is no such file or folder"),
        ("file/job.ohmloom", "not a folder"),
    ] {
        let error = files::save(&folder.path().join(name), &project).unwrap_err().to_string();
        assert!(error.contains(want), "{error}");
    }
    assert_eq!(names(folder.path()), ["file", "folder.ohmloom"]);
    for (name, want) in [
        ("folder.ohmloom", "a folder"),
        ("missing.ohmloom", "no such file"),
        ("file", "found an empty file"),
        ("file/job.ohmloom", "not a folder"),
    ] {
        let error = files::load(&folder.path().join(name)).unwrap_err().to_string();
        assert!(error.contains(want), "{error}");
    }
}

#[cfg(unix)]
mod unix {
    use super::*;
    use std::os::unix::fs::{PermissionsExt, symlink};
    use std::os::unix::process::CommandExt;

    fn mode(path: &Path) -> u32 {
        fs::metadata(path).unwrap().permissions().mode() & 0o7777
    }

    #[test]
    fn permissions_and_links_stay() {
        let folder = tempfile::tempdir().unwrap();
        let (path, link) = (folder.path().join("job.ohmloom"), folder.path().join("link.ohmloom"));
        let old = testing::project(1, 5);
        let new = testing::project(2, 5);
        files::save(&path, &old).unwrap();
        let plain = folder.path().join("plain");
        fs::write(&plain, "").unwrap();
        assert_eq!(mode(&path), mode(&plain), "a new file gets what every program gives");
        for bits in [0o640, 0o600, 0o664] {
            fs::set_permissions(&path, fs::Permissions::from_mode(bits)).unwrap();
            files::save(&path, &new).unwrap();
            assert_eq!(mode(&path), bits);
        }
        symlink("job.ohmloom", &link).unwrap();
        files::save(&link, &old).unwrap();
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
        assert_eq!(files::load(&path), Ok(old.clone()));

        // A link that leads to nothing yet makes its target.
        fs::create_dir(folder.path().join("sub")).unwrap();
        let ahead = folder.path().join("ahead.ohmloom");
        symlink("sub/new.ohmloom", &ahead).unwrap();
        files::save(&ahead, &new).unwrap();
        assert_eq!(files::load(&folder.path().join("sub/new.ohmloom")), Ok(new));

        symlink("b", folder.path().join("a")).unwrap();
        symlink("a", folder.path().join("b")).unwrap();
        let error = files::save(&folder.path().join("a"), &old).unwrap_err().to_string();
        assert!(error.contains("could not write"), "{error}");
        assert_eq!(names(&folder.path().join("sub")), ["new.ohmloom"]);
    }

    #[test]
    fn a_file_marked_read_only_stays() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("job.ohmloom");
        let old = testing::project(1, 5);
        files::save(&path, &old).unwrap();
        fs::set_permissions(&path, fs::Permissions::from_mode(0o444)).unwrap();
        let error = files::save(&path, &testing::project(2, 5)).unwrap_err().to_string();
        assert!(error.contains("read-only"), "{error}");
        assert_eq!(files::load(&path), Ok(old));
        assert_eq!(names(folder.path()), ["job.ohmloom"]);
    }

    /// The variables that make this test program save one file and print what became of it.
    const CHILD: &str = "OHMLOOM_TEST_SAVE_TO";

    /// Not a test of its own: what the two tests below run in a process with less room or fewer rights.
    #[test]
    fn child_saves() {
        let Ok(path) = std::env::var(CHILD) else { return };
        match files::save(Path::new(&path), &testing::project(2, 40)) {
            Ok(()) => println!("CHILD saved"),
            Err(error) => println!("CHILD {error}"),
        }
    }

    /// What the child printed.
    fn child_says(command: &mut Command) -> std::io::Result<String> {
        let output = command.output()?;
        let text = String::from_utf8_lossy(&output.stdout).into_owned();
        let line = text
            .lines()
            .find_map(|line| line.split_once("CHILD ").map(|(_, said)| said.to_owned()));
        line.ok_or_else(|| {
            std::io::Error::other(format!("{text} {}", String::from_utf8_lossy(&output.stderr)))
        })
    }

    #[test]
    fn running_out_of_room_leaves_the_old_file() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("job.ohmloom");
        let old = testing::project(1, 2);
        files::save(&path, &old).unwrap();
        assert!(
            store::write(&testing::project(2, 40)).len() > 8 * 1024,
            "the new file must not fit"
        );
        // A limit on the size of files (1 block, 512 or 1024 bytes) fails in the middle of the write as
        // a full disk does; the signal that would end the program is ignored first.
        let said = child_says(
            Command::new("sh")
                .args([
                    "-c",
                    "trap '' XFSZ; ulimit -f 1; exec \"$0\" --exact unix::child_saves --nocapture",
                ])
                .arg(std::env::current_exe().unwrap())
                .env(CHILD, &path),
        )
        .unwrap();
        assert!(said.starts_with("could not write") && said.contains("untouched"), "{said}");
        assert_eq!(files::load(&path), Ok(old));
        assert_eq!(names(folder.path()), ["job.ohmloom"]);
    }

    #[test]
    fn a_folder_that_may_not_be_written_keeps_its_file() {
        let folder = tempfile::tempdir().unwrap();
        fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o755)).unwrap();
        let inner = folder.path().join("inner");
        fs::create_dir(&inner).unwrap();
        let path = inner.join("job.ohmloom");
        let old = testing::project(1, 2);
        files::save(&path, &old).unwrap();
        fs::set_permissions(&path, fs::Permissions::from_mode(0o666)).unwrap();
        fs::set_permissions(&inner, fs::Permissions::from_mode(0o555)).unwrap();
        // The user `root` may write anywhere, so as root the child runs as another user (65534, by
        // custom the one without rights), from a copy of this program that user can reach.
        let is_root = fs::write(inner.join("probe"), "").is_ok();
        let program = folder.path().join("program");
        fs::copy(std::env::current_exe().unwrap(), &program).unwrap();
        let mut command = Command::new(&program);
        command
            .args(["--exact", "unix::child_saves", "--nocapture"])
            .env(CHILD, &path)
            .current_dir("/");
        if is_root {
            fs::remove_file(inner.join("probe")).unwrap();
            command.uid(65534).gid(65534);
        }
        let said = child_says(&mut command).unwrap();
        assert!(said.contains("permission denied") && said.contains("untouched"), "{said}");
        assert_eq!(files::load(&path), Ok(old));
        assert_eq!(names(&inner), ["job.ohmloom"]);
        fs::set_permissions(&inner, fs::Permissions::from_mode(0o755)).unwrap();
    }
}
