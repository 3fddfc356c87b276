// Package journal keeps the record of one session: an append-only file that
// survives a crash at any instant and shows whether it was damaged since.
//
// # For trainers and assessors: what a record is
//
// One session is one file. The file is plain text, one JSON object (RFC 8259)
// a line, encoded in UTF-8, every line ended by a single line feed. Lines are
// only ever added at the end. There are four sorts of line, named by "line":
//
//	header   the first line: which program, when, which session, and the full
//	         text of the sequence, the rig and the edition pack that were used
//	said     something came in: an answer, a correction, "stop", a pause …
//	gave     what the program made of it: verdict, rule, limit, edition
//	closed   the last line of a finished record: how it ended, number of lines
//
// A said line is on the disk before the session sees what it says, so a
// reading is stored as typed before anything is said about it. A gave line is
// written before its feedback is shown; it reaches the disk with the next said
// line at the latest.
//
// # Every line
//
// The keys stand in the fixed order given below and nowhere else. The first
// two and the last are common to all lines:
//
//	prev   64 hexadecimal digits: the SHA-256 (FIPS 180-4) of the whole line
//	       before, its line feed included; 64 zeros on the first line
//	line   header, said, gave or closed
//	…      the keys of that sort of line
//	crc    8 hexadecimal digits: the CRC-32 (IEEE 802.3) of this line's bytes
//	       from the opening brace up to, not including, `,"crc"`
//
// prev ties each line to all lines before it. The last line has no follower
// to vouch for it; crc is there so that a changed byte in it shows as well.
// By hand, `head -n 1 FILE | sha256sum` prints the prev of line 2.
//
// # header
//
//	format    always wanderlead-record-1
//	version   version of the program
//	created   time of creation, as the program was given it (RFC 3339)
//	session   id of the session; it is also the salt of hidden codes
//	mode      practise, study, assess …; left out when empty
//	seed      whole number; left out when there is none, always in exams.
//	          Readers whose numbers are 64-bit floats lose digits above 2^53
//	scripted  true if answers came from a file rather than from a person
//	edition   id of the edition pack in force for the whole session
//	sequence  {"name":…,"text":…}: the file used, its whole text
//	rig       the same for the rig
//	pack      the same for the edition pack
//	included  [{"name":…,"text":…},…]: further files these drew in
//	hidden    ["…",…]: further question ids whose answers are hidden codes
//	fields    {"…":"…",…}: people, instruments and the like, keys sorted
//
// # said
//
//	seq     1, 2, 3 …: the order of events. Order is by seq, never by time: a
//	        clock that is put back is recorded as it was read
//	time    as the program was given it (RFC 3339)
//	type    answer, correct, stop, observe, remark, pause, resume, decide, time
//	at      id of the question it belongs to, left out when it has none
//	raw     the text exactly as typed; for a hidden question the hash of the
//	        code, never the code
//	shown   the reading that the simulated instrument showed, if one did
//	params  {"…":"…",…}: whatever else belongs to the event, keys sorted
//
// # gave
//
//	said      seq of the event it answers, always the latest said line. An
//	          event that touches several readings has several gave lines
//	at        id of the reading it is about, when that is not the event's own
//	verdict   pass, doubt, fail, or what else the session decided
//	rule      id of the rule that decided
//	limit     the limits that bear on the verdict, parted by "; "
//	edition   edition of that limit
//	params    {"…":"…",…}: value, unit, formula, inputs, status; keys sorted
//	feedback  [{"id":…,"params":{…}},…]: what was shown, as ids and values
//
// # closed
//
//	time    when it was closed, as given
//	lines   number of lines in the file, this one included
//	how     how the session ended
//
// Nothing may follow a closed line. A file without one is a record that is
// still open: it holds as far as it goes, but cannot show that no whole line
// is missing from its end.
//
// # Canonical form
//
// There is exactly one way to write a line, so a line that was edited and
// "put right" by another program shows. Keys in the order above; keys of
// params and fields sorted by their bytes; no space outside strings; optional
// keys (seed, mode, included, hidden, fields, at, shown, params, rule, limit,
// edition in gave, feedback) left out when empty; whole numbers without sign,
// exponent or leading zero (seed may be negative). In strings `"` and `\`
// are written `\"` and `\\`, line feed `\n`, tab `\t`. Written as \u and
// four lower-case hex digits: other characters below U+0020, U+007F to U+009F, the
// line and paragraph separators U+2028 and U+2029, the byte order mark U+FEFF
// and the characters that turn writing direction (U+061C, U+200E, U+200F,
// U+202A to U+202E, U+2066 to U+2069). So a record can be shown on a terminal
// without typed text acting on that terminal. All else stands as itself.
// Text that is not valid UTF-8 is refused before anything is written.
//
// # Torn and damaged
//
// Torn means: bytes after the last line feed, and nothing else. That is what
// a crash or a full disk leaves of a line that was being written and that
// nobody had been told was stored. Resuming moves those bytes to a file
// beside the record (FILE.torn-1, -2 …) and goes on after the last whole line.
//
// Damage means: a whole line that does not parse, is not canonical, has a
// wrong crc, does not chain, stands where its sort may not stand, or is longer
// than any line that this program writes. Wherever it is, a damaged record is
// neither resumed nor changed.
//
// The chain has no key. It finds accidents: a bad disk, a cut copy, an editor
// that "helped". It does not find a forger, who can compute every hash anew.
//
// # Beside the record
//
// Records and everything beside them are created for their owner alone (mode
// 0600 where the system has modes), never over an existing file and never
// through a symbolic link. FILE.lock is locked while a session writes the
// record and names the process (its id and start time, no host or user name),
// so that a second one can say who holds it. It is removed at the end; one left
// by a crash holds nobody up, since the system drops the lock.
package journal
