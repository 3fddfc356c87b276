// Package edition holds the limits and tables a reading is judged by, each
// stamped with its source and its status. A pack is data (editions/*.yaml); the
// limits of circuit-breakers are computed from it, not copied.
package edition

// Default is the edition used when none is named.
const Default = "bs7671-2018-a4"

// Status says how far an entry can be relied on.
type Status string

// The statuses. A reading's limit carries the status of the entry it came from.
const (
	Confirmed      Status = "confirmed"
	FromMemory     Status = "from memory"
	Computed       Status = "computed"
	CommonPractice Status = "common practice, no source"
	// AsGiven is a limit that came with the question: a declared Ze, what is
	// marked on a device. No pack holds one.
	AsGiven Status = "as given"
)

var statuses = []string{string(Confirmed), string(FromMemory), string(Computed), string(CommonPractice)}

// Entry is one number of a pack with what it rests on.
type Entry struct {
	Value  float64
	Unit   string // "Ω", "%" (of the value compared with), "V", "" for a plain factor
	Source string
	Status Status
}

// Pack is one edition. Nothing in it is changed after loading.
type Pack struct {
	Name  string // "bs7671-2018-a2"
	Title string // "BS 7671:2018+A2:2022"
	// CarriedOver says, when not empty, that entries come from another edition
	// and in what state; Notice repeats it for the reader of a verdict.
	CarriedOver string
	// StandsOn names the packs this one is built on, the nearest first.
	StandsOn []string

	values        map[Key]Entry
	breakers      breakers
	fuses         []fuseFamily
	withoutLimits []string
	zeTypical     map[string]Entry
	electrode     electrode
	insulation    []insulationRow
	disconnection disconnection
	conductors    conductors
	breaking      []BreakingCapacity
	rcd           rcdRules
	rcdProducts   []rcdProduct
	rcdRamp       []rampRow
}

// Notice is what has to be told once with verdicts of this edition; "" when nothing has.
func (p *Pack) Notice() string {
	if p.CarriedOver == "" {
		return ""
	}
	return p.Title + ": limits " + p.CarriedOver
}
