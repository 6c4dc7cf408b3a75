//! Tables as comma-separated values (RFC 4180): CRLF line ends, UTF-8, quotes where needed.

/// Writes records, the header among them; all must have the same number of fields.
pub fn csv_records(records: &[Vec<String>]) -> String {
    let mut writer =
        csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    for record in records {
        writer.write_record(record).expect("all records have the same fields, memory takes them");
    }
    let bytes = writer.into_inner().expect("memory takes what is flushed");
    String::from_utf8(bytes).expect("only text was written")
}
