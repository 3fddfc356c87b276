// Package rig describes one electrical installation to be tested: a practice
// rig in a training bay, or the plan of one that exists only on paper.
//
// Everything a sequence, the safety rules, the judge or the virtual rig needs to
// know about the installation stands here, in the words a trainer would use to
// describe it. The package holds data and plain look-ups; it judges nothing.
//
// Quantities carry their unit in the field name: Ohm, V, A, MA (milliampere), KA
// (kiloampere), M (metre), MM2 (square millimetre), MS (millisecond).
package rig

// Rig is one installation. The zero value is an empty rig, which opens no gate.
type Rig struct {
	ID      string // short name used on the command line and in records
	Title   string // what a person calls it
	Setting string // where it stands and what is invented about it

	Supply    Supply
	Isolation Isolation
	Board     Board
	Earthing  Earthing
	Circuits  []Circuit
	Faults    []Fault
	Reference Reference
}

// System is the type of system earthing (BS 7671 section 312).
type System string

// The systems a rig may be fed from.
const (
	TNS  System = "TN-S"
	TNCS System = "TN-C-S"
	TT   System = "TT"
)

// Supply is what feeds the rig's board.
type Supply struct {
	Earthing System
	VoltageV float64 // line to neutral
	Phases   int     // 1 or 3

	// External impedances of the source as the virtual rig uses them, each from
	// the source to the incoming terminals (EarthOhm: to the means of earthing).
	LineOhm, NeutralOhm, EarthOhm float64

	// Transformer is set when the rig hangs on an isolating transformer.
	Transformer *Transformer

	// Declared is what the supervisor declares about the origin, with the source
	// of the figures; used when the origin is not measured.
	Declared Declared

	// UpstreamRCD protects the rig's own feed, if fitted. It must discriminate
	// with the RCDs under test or it will trip first.
	UpstreamRCD *RCD
}

// Transformer is an isolating transformer between the mains and the rig.
type Transformer struct {
	RatingVA       float64
	NeutralEarthed bool // false: N-E voltage, loop and RCD tests do not apply
}

// Declared is the origin as declared by the supervisor.
type Declared struct {
	ZeOhm    float64
	PFCKA    float64
	VoltageV float64
	Source   string // where the figures come from, e.g. "bay commissioning sheet 3"
}

// IsolationPoint is where the rig is switched off and locked.
type IsolationPoint string

const (
	// Upstream: a lockable isolator before the board; with it off nothing in the
	// board is live, and the incoming side alone can be energised later.
	Upstream IsolationPoint = "upstream"
	// AtMainSwitch: the board's own main switch; the incoming terminals stay live,
	// so no incoming gate is offered.
	AtMainSwitch IsolationPoint = "main-switch"
)

// TestPoints says how the incoming terminals can be reached for live tests.
type TestPoints string

const (
	ShroudedPoints TestPoints = "shrouded"  // fixed shrouded test points: nothing exposed
	OpenTerminals  TestPoints = "terminals" // the incoming access has to be opened
	NoTestPoints   TestPoints = "none"
)

// Isolation is how this rig is made dead, and what is not made dead by it.
type Isolation struct {
	At              IsolationPoint
	Device          string   // what is operated and locked off, e.g. "bay isolator Q1"
	EmergencySwitch string   // what to hit first, and where it is
	StaysLive       []string // what remains live with the device off
	ProvingSource   string   // what the voltage indicator is proved on
	SupplySeenBy    string   // lamp or plug-in indicator that shows supply with nothing opened
	Incoming        TestPoints
	// OthersThatLookAlike are neighbouring isolators that could be locked by mistake.
	OthersThatLookAlike []string
}

// Arrangement is how the board's ways are divided.
type Arrangement string

const (
	Plain      Arrangement = "plain"       // one neutral bar
	SplitLoad  Arrangement = "split-load"  // two or more RCD sections, a neutral bar each
	RCBOBoard  Arrangement = "rcbo"        // an RCBO a way; one neutral bar
	ThreePhase Arrangement = "three-phase" // a three-phase board, one neutral bar
)

// Board is the distribution board or consumer unit.
type Board struct {
	Name         string
	Location     string
	SuppliedFrom string
	Arrangement  Arrangement
	MainSwitch   MainSwitch
	AssemblyKA   float64 // conditional rating of the assembly; 0 when none is declared
	Sections     []Section
	SPD          *SPD
}

// MainSwitch is the board's main switch.
type MainSwitch struct {
	Label   string
	Poles   int
	RatingA float64
}

// Section is a group of ways that share a neutral bar, and an RCD if one is named.
type Section struct {
	ID  string
	Bar string // the neutral bar's label
	RCD *RCD   // nil: the ways of this section have their own (RCBOs) or none
}

// SPD is a surge protective device in the board.
type SPD struct {
	Types     []string // "1", "2", "3"
	Removable bool     // links or cartridges can be taken out for the insulation test
}

// RCD is a residual current device or the residual part of an RCBO.
type RCD struct {
	ID       string
	Standard string // "BS EN 61008-1", "BS EN 61009-1", …
	Type     string // "AC", "A", "F", "B"
	Delay    string // "general" or "S"
	IdnMA    float64
	RatingA  float64
	// Real behaviour, for the virtual rig: the residual current that just trips it
	// and its time at rated residual current.
	TripMA float64
	TripMS float64
}

// Earthing is the earthing arrangement and the protective bonding.
type Earthing struct {
	ConductorMM2 float64 // earthing conductor, means of earthing to main earthing terminal
	ConductorM   float64
	Terminal     string // the main earthing terminal's label
	MeansAt      string // where the far end of the earthing conductor can be touched with nothing opened; may be empty
	Bonds        []Bond
	Electrode    *Electrode
	// SupplyCable is set where an outbuilding has its own earth electrode and the
	// protective conductor or armour of the feeding cable must be kept apart from it.
	SupplyCable string
}

// Bond is one main protective bonding conductor.
type Bond struct {
	ID      string
	To      string // what is bonded
	Clamp   string // where the clamp is
	MM2     float64
	LengthM float64
}

// Electrode is an installation earth electrode (TT).
type Electrode struct {
	Kind string // "rod", "plate", …
	Ohm  float64
}

// Shape is the form of a circuit; the dead tests it needs follow from it.
type Shape string

const (
	Ring     Shape = "ring"
	Radial   Shape = "radial"   // socket-outlets in line
	Lighting Shape = "lighting" // fittings with switches
	Fixed    Shape = "fixed"    // one piece of fixed equipment
)

// Circuit is one final circuit.
type Circuit struct {
	ID          string
	Number      string // as on the schedule, with the phase where there are three: "3L2"
	Description string
	Shape       Shape
	Section     string   // the board section it is connected to
	Lines       []string // ["L"] single phase; ["L2"], or ["L1","L2","L3"] on a three-phase board
	Device      Device
	RCD         *RCD // RCBO; nil when the section's RCD protects the circuit, or none does
	Cable       Cable
	Points      []Point
	ReturnM     float64  // ring only: last point back to the board
	Switches    []Switch // lighting
	Electronics string   // what cannot be disconnected for the insulation test; then LN-E replaces L-N
	SPD         bool     // a surge protective device stays connected: 250 V is the test voltage
	Takeout     []string // what is taken out before the insulation test: lamps, loads
	Padding     *Padding
	Earthed     string // what metalwork the cpc serves at the points, for hints; may be empty
}

// Device is an overcurrent protective device.
type Device struct {
	Standard   string // "BS EN 60898", "BS EN 61009-1", "BS 88-2", …
	Curve      string // "B", "C", "D"; empty for a fuse
	RatingA    float64
	BreakingKA float64
}

// Cable is a circuit's cable.
type Cable struct {
	LineMM2, CPCMM2 float64
	WiringType      string // BS 7671 schedule code A to H, O
	Method          string // reference method, e.g. "C"
}

// PointKind is what stands at a point.
type PointKind string

const (
	Socket    PointKind = "socket"
	Fitting   PointKind = "fitting"
	Switchbox PointKind = "switch"
	Outlet    PointKind = "outlet" // connection unit, cooker or shower isolator, equipment terminals
)

// Point is one place on a circuit where a reading can be taken.
type Point struct {
	ID     string // "s1"
	Label  string // "bench left"
	Kind   PointKind
	PlugIn bool // reached with a plug-in lead; nothing is opened
	// From is the point this one's cable comes from; empty means the one before it
	// in the list, or the board for the first. A spur on a ring names its socket.
	From    string
	LengthM float64
}

// Switch is a lighting switch; two two-way switches make four positions.
type Switch struct {
	ID     string
	Label  string
	TwoWay bool
}

// Padding is a resistor or drum that makes a short rig read like a long circuit.
type Padding struct {
	StandsForM float64 // length it stands for
	Rated      bool    // true: may carry a high-current loop test
}

// Fault is a fault the rig can be made to have.
type Fault struct {
	ID            string
	Circuit       string // empty: the board or the supply
	Kind          string // F01 … F46 in the trade's fault list of the virtual rig
	Where         string
	Plant         string // what the trainer does to plant it
	Clear         string
	NeverEnergise bool
}

// Reference is the trainer's commissioning record of the rig as it should be.
type Reference struct {
	Instrument string
	Date       string // ISO 8601 day
	Readings   []RefReading
}

// RefReading is one commissioned reading: three repeats as shown by the instrument.
type RefReading struct {
	At     string   // reading id: "ring-1/ends/r1", "ze", "ring-1/zs/s4" …
	Values []string // raw text, in the unit of that reading
}

// Circuit returns the circuit with that id.
func (r *Rig) Circuit(id string) (*Circuit, bool) {
	for i := range r.Circuits {
		if r.Circuits[i].ID == id {
			return &r.Circuits[i], true
		}
	}
	return nil, false
}

// Section returns the section with that id.
func (r *Rig) Section(id string) (*Section, bool) {
	for i := range r.Board.Sections {
		if r.Board.Sections[i].ID == id {
			return &r.Board.Sections[i], true
		}
	}
	return nil, false
}

// RCDOf returns the RCD that protects the circuit: its RCBO, else its section's.
func (r *Rig) RCDOf(c *Circuit) *RCD {
	if c.RCD != nil {
		return c.RCD
	}
	if s, ok := r.Section(c.Section); ok {
		return s.RCD
	}
	return nil
}

// BarOf returns the label of the neutral bar the circuit's neutral belongs on.
func (r *Rig) BarOf(c *Circuit) string {
	if s, ok := r.Section(c.Section); ok {
		return s.Bar
	}
	return ""
}

// Bars lists the neutral bars in board order.
func (r *Rig) Bars() []string {
	var bars []string
	for _, s := range r.Board.Sections {
		bars = append(bars, s.Bar)
	}
	return bars
}
