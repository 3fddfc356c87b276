package report

import "wanderlead/internal/coach"

// The states of a result. They are different things and are kept apart: what does
// not apply, what could not be done, and what was not done.
const (
	Measured      = coach.Measured
	OverRange     = coach.OverRange
	Calculated    = coach.Calculated
	NotApplicable = coach.IsNotApplicable
	Limitation    = coach.IsLimitation
	NotTested     = coach.IsNotTested
)

// Schedule is the whole report. Its JSON form is the command line's contract.
type Schedule struct {
	Edition    string     `json:"edition"`
	Scripted   bool       `json:"scripted"`
	Board      Board      `json:"board"`
	Circuits   []Circuit  `json:"circuits"`
	LedgerOpen []OpenItem `json:"ledger_open"`
	Notice     string     `json:"notice"`

	// EditionNotice is what has to be said wherever limits of the edition stand; Notice
	// has it as well.
	EditionNotice string `json:"-"`

	words func(id string, params map[string]string) string
}

// Result is one item of the schedule. Value is null unless the result is a number;
// Raw is the text as typed; Verdict is pass, doubt, fail, or empty when nothing was
// judged; Why gives the reason for anything that is not a plain pass.
type Result struct {
	State   string   `json:"state"`
	Value   *float64 `json:"value"`
	Raw     string   `json:"raw"`
	Unit    string   `json:"unit"`
	Verdict string   `json:"verdict"`
	Why     string   `json:"why"`

	From       []string `json:"from,omitempty"`        // ids of the readings it was taken from
	MeasuredAt string   `json:"measured_at,omitempty"` // where, when that is not the circuit's own
	Multiple   float64  `json:"multiple,omitempty"`    // of the rated residual current, for a timed test
	History    []Was    `json:"history,omitempty"`     // all entries, when there are more than one
}

// Was is one entry as it was typed, with what it came to then.
type Was struct {
	At      string   `json:"at"`
	How     string   `json:"how"` // first, repeat, correction
	State   string   `json:"state"`
	Value   *float64 `json:"value"`
	Raw     string   `json:"raw"`
	Unit    string   `json:"unit"`
	Verdict string   `json:"verdict"` // when it was typed
	Why     string   `json:"why"`
}

// Limit is a limit that a reading was compared with, for tracing it.
type Limit struct {
	Name    string  `json:"name"`
	Value   float64 `json:"value"`
	Unit    string  `json:"unit"`
	Bound   string  `json:"bound"`
	Edition string  `json:"edition"`
	Source  string  `json:"source"`
	Status  string  `json:"status"`
}

// Reading is one reading or observation of the session, measured or not.
type Reading struct {
	ID    string `json:"id"`
	Test  string `json:"test"`
	Part  string `json:"part"`
	Label string `json:"label"`
	Result
	Said   string  `json:"said,omitempty"` // what was seen, in the sequence's words
	Class  string  `json:"class"`          // the session's class now
	Rule   string  `json:"rule"`           // id of the reason that decided
	Limits []Limit `json:"limits,omitempty"`
}

// ZsLimit is the greatest loop impedance permitted, in Ω, and where it comes from.
// Basis is "corrected" for the table's value times the factor for a reading taken
// cold, "table" for a value that is compared as printed.
type ZsLimit struct {
	Result
	Basis   string   `json:"basis"`
	Table   *float64 `json:"table"`
	Rounded *float64 `json:"rounded"` // largest published rounding, up to which a reading is a doubt
	Source  string   `json:"source"`
	Edition string   `json:"edition"`
	Status  string   `json:"status"`
}

// Circuit is one line of the schedule: details as the rig describes them, results as
// the session recorded them.
type Circuit struct {
	CircuitNumber   string   `json:"circuit_number"`
	ID              string   `json:"id"`
	Description     string   `json:"description"`
	WiringTypeCode  string   `json:"wiring_type_code"`
	ReferenceMethod string   `json:"reference_method"`
	PointsServed    *float64 `json:"points_served"`
	LiveCSA         *float64 `json:"live_csa"` // mm²
	CPCCSA          *float64 `json:"cpc_csa"`  // mm²

	OCPDStandard         string   `json:"ocpd_standard"`
	OCPDType             string   `json:"ocpd_type"`
	OCPDRating           *float64 `json:"ocpd_rating"`            // A
	OCPDBreakingCapacity *float64 `json:"ocpd_breaking_capacity"` // kA
	MaxPermittedZs       ZsLimit  `json:"max_permitted_zs"`
	RCDStandard          string   `json:"rcd_standard"`
	RCDType              string   `json:"rcd_type"`
	RCDIdn               *float64 `json:"rcd_idn"`                // mA
	RCDRating            *float64 `json:"rcd_rating"`             // A
	MaxDisconnectionTime *float64 `json:"max_disconnection_time"` // s

	RingR1        Result `json:"ring_r1"`
	RingRN        Result `json:"ring_rn"`
	RingR2        Result `json:"ring_r2"`
	R1PlusR2      Result `json:"r1_plus_r2"`
	R2            Result `json:"r2"`
	IRTestVoltage Result `json:"ir_test_voltage"`
	IRLiveLive    Result `json:"ir_live_live"`
	IRLiveEarth   Result `json:"ir_live_earth"`
	Polarity      Result `json:"polarity"`
	ZsMeasuredMax Result `json:"zs_measured_max"`
	RCDTime       Result `json:"rcd_time"`
	RCDButton     Result `json:"rcd_test_button"`
	AFDDButton    Result `json:"afdd_test_button"`
	Remarks       string `json:"remarks"`

	RCD      string    `json:"rcd,omitempty"` // id of the device that protects it
	Readings []Reading `json:"readings"`

	remarks []string
}

// Board is what stands once a board.
type Board struct {
	Reference    string `json:"board_reference"`
	Location     string `json:"board_location"`
	SuppliedFrom string `json:"supplied_from"`
	// DistributionCircuitDevice is null: a rig does not describe what feeds it.
	DistributionCircuitDevice *string  `json:"distribution_circuit_device"`
	Earthing                  string   `json:"earthing"`
	Phases                    int      `json:"phases"`
	SPDTypes                  []string `json:"spd_types"`
	SPDIndicator              Result   `json:"spd_indicator_checked"`

	SupplyPolarity Result `json:"supply_polarity_confirmed"`
	PhaseSequence  Result `json:"phase_sequence_confirmed"`
	Ze             Result `json:"ze"`
	Electrode      Result `json:"electrode"`
	ZsAtBoard      Result `json:"zs_at_board"`
	IpfAtBoard     Result `json:"ipf_at_board"`
	Origin         Origin `json:"origin"`

	VulnerableEquipment string            `json:"vulnerable_equipment"`
	Instruments         map[string]string `json:"instruments"`
	TestedBy            Person            `json:"tested_by"`
	Supervisor          string            `json:"supervisor"`

	Inspection     []Finding `json:"inspection"`
	RCDs           []RCD     `json:"rcds"`
	DoubtsAccepted []Accept  `json:"doubts_accepted"`
	Remarks        []string  `json:"remarks"`
	Readings       []Reading `json:"readings"`
	Live           Live      `json:"live_state"`
	Session        Session   `json:"session"`
}

// Origin says how supply and external loop are known. The numbers are those the
// rig's description declares; they are nobody's readings.
type Origin struct {
	Known      string   `json:"known"` // measured, declared, unknown
	DeclaredBy string   `json:"declared_by"`
	Source     string   `json:"source"`
	ZeOhm      *float64 `json:"declared_ze"`
	IpfKA      *float64 `json:"declared_ipf"`
	VoltageV   *float64 `json:"declared_voltage"`
}

// Person is who did the work. There is no signature: the record is not one to sign.
type Person struct {
	Name string `json:"name"`
	Date string `json:"date"`
}

// Finding is one item of the visual inspection.
type Finding struct {
	ID      string `json:"id"`
	Item    string `json:"item"`
	Found   string `json:"found"`
	Verdict string `json:"verdict"`
	Why     string `json:"why"`
}

// RCD is one residual current device with all that was measured on it.
type RCD struct {
	ID         string    `json:"id"`
	Standard   string    `json:"standard"`
	Type       string    `json:"type"`
	Delay      string    `json:"delay"`
	IdnMA      *float64  `json:"idn"`    // mA
	RatingA    *float64  `json:"rating"` // A
	Circuits   []string  `json:"circuits"`
	MeasuredAt string    `json:"measured_at"`
	Readings   []Reading `json:"readings"`
}

// Accept is a reading in doubt that the supervisor accepted with a reason.
type Accept struct {
	Reading string `json:"reading"`
	Gate    string `json:"gate"`
	Reason  string `json:"reason"`
	By      string `json:"by"`
	Stands  bool   `json:"stands"` // false: corrected or repeated since
}

// OpenItem is something that was opened and not closed again.
type OpenItem struct {
	Item     string `json:"item"`
	Class    string `json:"class"`
	Circuit  string `json:"circuit_number"` // empty: the board
	OpenedBy string `json:"opened_by"`      // ids of the steps
	ClosedBy string `json:"closed_by"`
}

// Live is what is energised, as far as the record can tell.
type Live struct {
	Supply     string   `json:"supply"` // as found, off, incoming, on
	CircuitsOn []string `json:"circuits_on"`
}

// Session is how the work was done.
type Session struct {
	Sequence string `json:"sequence"`
	Rig      string `json:"rig"`
	Mode     string `json:"mode"`
	Created  string `json:"created"`
	Closed   string `json:"closed"`
	Ended    string `json:"ended"` // complete, left, running
}
