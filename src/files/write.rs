//! Writing a file whole or not at all: temporary file, flush, permissions, rename.

use std::fs;
use std::io;
use std::io::Write;
use std::path::{Path, PathBuf};

use crate::files::error::FileError;

/// Links followed before a path counts as a loop; the limit Linux has too.
const MAX_LINKS: usize = 40;

/// Writes all bytes to `path`, or leaves what was there.
pub fn whole(path: &Path, bytes: &[u8]) -> Result<(), FileError> {
    let refuse = |error: io::Error| FileError::write(path, &error);
    let target = followed(path).map_err(refuse)?;
    let old = match fs::metadata(&target) {
        Ok(meta) if !meta.is_file() => return Err(FileError::NotAFile { path: path.into() }),
        Ok(meta) if meta.permissions().readonly() => {
            return Err(FileError::Write {
                path: path.into(),
                why: "the file is marked read-only".into(),
            });
        }
        Ok(meta) => Some(meta),
        Err(error) if error.kind() == io::ErrorKind::NotFound => None,
        Err(error) => return Err(refuse(error)),
    };
    let folder = match target.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        Some(_) | None => Path::new("."),
    };
    if target.file_name().is_none() {
        return Err(FileError::NotAFile { path: path.into() });
    }
    // Dropped on every early return, which removes it.
    let mut temporary = new_file(folder).map_err(refuse)?;
    temporary.write_all(bytes).map_err(refuse)?;
    temporary.flush().map_err(refuse)?;
    if let Some(old) = old {
        temporary.as_file().set_permissions(old.permissions()).map_err(refuse)?;
    }
    temporary.as_file().sync_all().map_err(refuse)?;
    temporary.persist(&target).map_err(|error| refuse(error.error))?;
    sync_folder(folder);
    Ok(())
}

/// The file a path leads to, through symbolic links, even where the last one leads to nothing yet.
fn followed(path: &Path) -> io::Result<PathBuf> {
    let mut path = path.to_path_buf();
    for _ in 0..MAX_LINKS {
        match fs::symlink_metadata(&path) {
            Ok(meta) if meta.is_symlink() => {
                let next = fs::read_link(&path)?;
                path = path.parent().unwrap_or(Path::new("")).join(next);
            }
            Ok(_) => return Ok(path),
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(path),
            Err(error) => return Err(error),
        }
    }
    Err(io::Error::other("the links lead in a circle"))
}

/// A temporary file in the same folder, so that the rename stays on one disk.
fn new_file(folder: &Path) -> io::Result<tempfile::NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".ohmloom-").suffix(".tmp");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // As any program creates a file: readable for all, less what the user's mask takes away.
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(folder)
}

/// Makes the rename itself outlive a power cut, where the system can do that.
fn sync_folder(folder: &Path) {
    // Not every system lets a folder be opened or flushed; the file itself is safe already.
    if let Ok(folder) = fs::File::open(folder) {
        let _ = folder.sync_all();
    }
}
