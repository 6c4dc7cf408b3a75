//! Reading a photo or drawing for the layout, up to the size a project takes.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use crate::files::FileError;
use crate::model::limits;

/// All bytes of a picture file.
///
/// # Errors
/// Where the file cannot be read, is empty or is larger than a project takes.
pub fn read_picture(path: &Path) -> Result<Vec<u8>, FileError> {
    let refuse = |error| FileError::read(path, &error);
    let file = File::open(path).map_err(refuse)?;
    let meta = file.metadata().map_err(refuse)?;
    if !meta.is_file() {
        return Err(FileError::NotAFile { path: path.into() });
    }
    let mut bytes = Vec::new();
    file.take(limits::PICTURE_BYTES as u64 + 1).read_to_end(&mut bytes).map_err(refuse)?;
    let why = if bytes.is_empty() {
        "it is empty".to_owned()
    } else if bytes.len() > limits::PICTURE_BYTES {
        let most_mib = limits::PICTURE_BYTES >> 20;
        format!("it is larger than {most_mib} MiB, save it smaller first")
    } else {
        return Ok(bytes);
    };
    Err(FileError::Read { path: path.into(), why })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_empty_too_large_or_no_file_is_refused_in_words() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("floor.png");
        let said = || read_picture(&path).unwrap_err().to_string();
        std::fs::write(&path, []).unwrap();
        assert!(said().ends_with("it is empty"), "{}", said());
        std::fs::write(&path, vec![1; limits::PICTURE_BYTES + 1]).unwrap();
        assert!(said().contains("larger than 12 MiB"), "{}", said());
        std::fs::write(&path, [1, 2, 3]).unwrap();
        assert_eq!(read_picture(&path), Ok(vec![1, 2, 3]));
        assert!(read_picture(folder.path()).is_err());
        assert!(read_picture(&folder.path().join("none.png")).is_err());
    }
}
