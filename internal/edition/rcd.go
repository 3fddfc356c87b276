package edition

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Band is what a timed RCD test is judged by. Times in ms; Min 0 means no lower
// bound. NoTrip means that the device has to stay on.
type Band struct {
	NoTrip   bool
	Min, Max Entry
}

type rcdRow struct {
	delay           string // "general", "S" or "any"
	multiple        float64
	ratedUpTo       float64 // mA; 0 means any
	minMS, maxMS    float64
	noTrip          bool
	edition, source string
	status          Status
	least, most     float64 // parts of a marked delay
	baseMS          float64
}

type rcdRules struct {
	halfRunMS float64
	months    int
	required  []RCDTest
	rules     []rcdRow
	earlier   []rcdRow
}

type rcdProduct struct {
	standard string
	rows     []rcdRow
	delayed  []rcdRow
}

type rampRow struct {
	waveform               string
	ratedUpTo, above, upTo float64
	source                 string
	status                 Status
}

// RCDTest is one test an edition requires.
type RCDTest struct {
	Multiple    float64
	Delay       string
	RatedUpToMA float64 // 0: any rating
}

// RCDRequired lists the timed tests this edition asks for.
func (p *Pack) RCDRequired() []RCDTest { return append([]RCDTest(nil), p.rcd.required...) }

// RCDHalfRunMS is how long a test at half the rating runs, ms.
func (p *Pack) RCDHalfRunMS() float64 { return p.rcd.halfRunMS }

// RCDButtonMonths is how often the notice asks the user to press the test button.
func (p *Pack) RCDButtonMonths() int { return p.rcd.months }

func (r rcdRow) fits(delay string, multiple, ratedMA float64) bool {
	return (r.delay == "any" || r.delay == delay) && r.multiple == multiple && (r.ratedUpTo == 0 || ratedMA <= r.ratedUpTo)
}

func (r rcdRow) band(source string) Band {
	if r.source != "" {
		source = r.source
	}
	b := Band{NoTrip: r.noTrip}
	if r.minMS > 0 {
		b.Min = Entry{r.minMS, "ms", source, r.status}
	}
	if r.maxMS > 0 {
		b.Max = Entry{r.maxMS, "ms", source, r.status}
	}
	return b
}

// RCDBand gives the band of the edition for a test at a multiple (0.5, 1, 5) of
// the rating in mA, for delay "general" or "S".
func (p *Pack) RCDBand(delay string, multiple, ratedMA float64) (Band, bool) {
	for _, r := range p.rcd.rules {
		if r.fits(delay, multiple, ratedMA) {
			return r.band(p.Title), true
		}
	}
	return Band{}, false
}

// RCDProductBand gives the band of the product standard. The error is a
// *LimitError: an unknown standard, or one with no limit for this test.
func (p *Pack) RCDProductBand(standard, delay string, multiple, ratedMA float64) (Band, error) {
	product, err := p.rcdProduct(standard)
	if err != nil {
		return Band{}, err
	}
	for _, r := range product.rows {
		if r.fits(delay, multiple, ratedMA) {
			return r.band(product.standard), nil
		}
	}
	if multiple < 1 { // staying on at half the rating is asked of every device
		if b, ok := p.RCDBand(delay, multiple, ratedMA); ok {
			return b, nil
		}
	}
	return Band{}, &LimitError{fmt.Sprintf("%s has no limit for %g times IΔn, delay %s, in %s", product.standard, multiple, delay, p.Title),
		"leave standard out to judge by the edition alone"}
}

// RCDMarkedDelay gives the band of a device marked with a delay in ms of its own
// (BS 4293 time delayed).
func (p *Pack) RCDMarkedDelay(standard string, delayMS, multiple float64) (Band, error) {
	product, err := p.rcdProduct(standard)
	if err != nil {
		return Band{}, err
	}
	for _, r := range product.delayed {
		if r.multiple == multiple {
			return Band{
				Min: Entry{r.baseMS + float64(r.least*delayMS), "ms", product.standard, r.status},
				Max: Entry{r.baseMS + float64(r.most*delayMS), "ms", product.standard, r.status},
			}, nil
		}
	}
	return Band{}, &LimitError{fmt.Sprintf("%s has no limit for a marked delay at %g times IΔn", product.standard, multiple), "standards held: " + p.RCDStandards()}
}

func (p *Pack) rcdProduct(standard string) (rcdProduct, error) {
	want := squeeze(standard)
	for _, product := range p.rcdProducts {
		have := squeeze(product.standard)
		if want == have || want == strings.TrimPrefix(have, "BSEN") || want == strings.TrimPrefix(have, "BS") {
			return product, nil
		}
		if base, ok := strings.CutSuffix(have, "-1"); ok && (want == base || want == strings.TrimPrefix(base, "BSEN")) {
			return product, nil
		}
	}
	return rcdProduct{}, &LimitError{fmt.Sprintf("unknown RCD standard %q", standard), "standards held: " + p.RCDStandards()}
}

func squeeze(s string) string {
	return strings.ReplaceAll(strings.ReplaceAll(strings.ToUpper(s), " ", ""), "IEC", "BSEN")
}

// RCDStandards lists the product standards held, for a message.
func (p *Pack) RCDStandards() string {
	var out []string
	for _, product := range p.rcdProducts {
		out = append(out, product.standard)
	}
	return strings.Join(out, ", ")
}

// RCDMultipleFor gives the least multiple of the rating whose greatest time in
// the product standard shows disconnection within seconds: 1 for 0.3 s, 5 for
// 0.2 s of a general BS EN 61008-1 device.
func (p *Pack) RCDMultipleFor(standard, delay string, seconds float64) (float64, bool) {
	product, err := p.rcdProduct(standard)
	if err != nil {
		return 0, false
	}
	var fit []float64
	for _, r := range product.rows {
		if r.delay == delay && (r.multiple == 1 || r.multiple == 5) && r.maxMS > 0 && Cmp(r.maxMS, seconds*1000) <= 0 {
			fit = append(fit, r.multiple)
		}
	}
	if len(fit) == 0 {
		return 0, false
	}
	return slices.Min(fit), true
}

// Ramp gives the band of a rising test, mA: the trip current lies above Min and
// up to Max. Waveform is "ac" or "pulsating".
func (p *Pack) Ramp(waveform string, ratedMA float64) (Band, bool) {
	for _, r := range p.rcdRamp {
		if r.waveform == waveform && (r.ratedUpTo == 0 || ratedMA <= r.ratedUpTo) {
			return Band{
				Min: Entry{ratedMA * r.above, "mA", r.source, r.status},
				Max: Entry{ratedMA * r.upTo, "mA", r.source, r.status},
			}, true
		}
	}
	return Band{}, false
}

// RCDEarlier tells how earlier editions asked for the test, one line each.
func (p *Pack) RCDEarlier() []string {
	var out []string
	for _, r := range p.rcd.earlier {
		line := r.edition + ": " + strconv.FormatFloat(r.multiple, 'f', -1, 64) + " times IΔn, at most " +
			strconv.FormatFloat(r.maxMS, 'f', -1, 64) + " ms (" + r.source + ")"
		out = append(out, line)
	}
	return out
}
