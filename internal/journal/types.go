package journal

// Format names this record format; it stands in every header.
const Format = "wanderlead-record-1"

// Sorts of line, the value of a line's "line" key.
const (
	KindHeader = "header"
	KindSaid   = "said"
	KindGave   = "gave"
	KindClosed = "closed"
)

// Types of event, the value of a said line's "type" key.
const (
	TypeAnswer  = "answer"
	TypeCorrect = "correct"
	TypeStop    = "stop"
	TypeObserve = "observe"
	TypeRemark  = "remark"
	TypePause   = "pause"
	TypeResume  = "resume"
	TypeDecide  = "decide"
	TypeTime    = "time"
)

// ModeAssess is the mode whose header may hold no seed: with the seed a
// candidate could work out which faults are hidden.
const ModeAssess = "assess"

// Content is one file that the session used: its name and its whole text, so
// that the record can be judged again without the file.
type Content struct {
	Name string `json:"name"`
	Text string `json:"text"`
}

// Header is the first line of a record. Version, Created, Session, Edition and
// the names of Sequence, Rig and Pack are required.
type Header struct {
	Version  string            `json:"version"`
	Created  string            `json:"created"` // RFC 3339, as given
	Session  string            `json:"session"`
	Mode     string            `json:"mode"`
	Seed     *int64            `json:"seed"` // nil: left out
	Scripted bool              `json:"scripted"`
	Edition  string            `json:"edition"`
	Sequence Content           `json:"sequence"`
	Rig      Content           `json:"rig"`
	Pack     Content           `json:"pack"`
	Included []Content         `json:"included"`
	Hidden   []string          `json:"hidden"` // see IsHidden
	Fields   map[string]string `json:"fields"`
}

// Event is what came in, before the session saw it. Time and Type are required.
// At a hidden question Raw is the text of a Hashed, never the code itself.
type Event struct {
	Time   string            `json:"time"` // RFC 3339, as given
	Type   string            `json:"type"`
	At     string            `json:"at"`
	Raw    string            `json:"raw"`
	Shown  string            `json:"shown"`
	Params map[string]string `json:"params"`
}

// Said is a said line: an event and its number, counted from 1.
type Said struct {
	Seq int `json:"seq"`
	Event
}

// Feedback is one thing that was shown: an id of the text catalogue and the
// values that filled it.
type Feedback struct {
	ID     string            `json:"id"`
	Params map[string]string `json:"params"`
}

// Given is what the session made of an event. Verdict is required.
type Given struct {
	At       string            `json:"at"`
	Verdict  string            `json:"verdict"`
	Rule     string            `json:"rule"`
	Limit    string            `json:"limit"`
	Edition  string            `json:"edition"`
	Params   map[string]string `json:"params"`
	Feedback []Feedback        `json:"feedback"`
}

// Gave is a gave line; Said is the seq of the event it answers.
type Gave struct {
	Said int `json:"said"`
	Given
}

// Closed is the last line of a finished record. Lines counts every line of the
// file, the closed line included.
type Closed struct {
	Time  string `json:"time"`
	Lines int    `json:"lines"`
	How   string `json:"how"`
}

// Line is one whole line read back. Exactly one of the four pointers is set,
// the one that Kind names.
type Line struct {
	Number int    // counted from 1
	Offset int64  // first byte in the file
	Kind   string // KindHeader, KindSaid, KindGave or KindClosed
	Header *Header
	Said   *Said
	Gave   *Gave
	Closed *Closed
}
