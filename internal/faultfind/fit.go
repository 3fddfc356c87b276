package faultfind

import (
	"math"

	"wanderlead/internal/rig"
	"wanderlead/internal/signature"
	"wanderlead/safety"
)

// What an instrument's errors are taken to be: the parts common to all its readings of a function, and what is left from
// reading to reading. Within the accuracy that is usual for such instruments, ±(2 % + 2 digits) for low resistance and
// ±(5 % + 5 digits) for insulation and loop (common practice, no source).
const (
	lowGain, lowOffsetOhm   = 0.009, 0.009
	loopGain, loopOffsetOhm = 0.025, 0.02
	upliftOhm, upliftSpread = 0.15, 0.10 // what an RCD's coil adds to a no-trip loop test
	scatterDigits           = 0.55
	modelPart               = 0.004 // of a resistance: lengths and joints are not quite what the description says
	unnulledOhm             = 0.6   // spread of what leads leave in when they are not nulled
	unnulledPrior           = -3.5
	leastLog                = -40.0 // a single reading never says more than this against a cause
)

// observed is a reading that was taken.
type observed struct {
	measure int
	value   float64 // +Inf over range or no trip, NaN no reading
}

// fit is how a hypothesis stands to the readings.
type fit struct {
	log            float64
	offset         float64 // estimated, Ω; beyond a nulled instrument's own when nulled is false
	gain           float64
	nulled         bool
	loop, loopGain float64
}

// none are readings of nothing: loop and RCD testers that find no supply show none or run over range.
func nothing(v float64) bool { return math.IsNaN(v) || math.IsInf(v, 1) }

// residual is a difference between reading and prediction in the sums.
type residual struct{ r, p, w float64 }

// against weighs the readings against what a hypothesis predicts.
func (m *Model) against(pred answer, seen []observed) fit {
	var low, loop [64]residual
	lows, loops := low[:0], loop[:0]
	var f fit
	for _, o := range seen {
		x := m.Measures[o.measure]
		p := m.expected(pred, o)
		switch {
		case x.function == signature.LowOhm:
			if nothing(p) != nothing(o.value) {
				f.log += leastLog
			} else if !nothing(p) {
				lows = append(lows, residual{o.value - p, p, weight(float64(scatterDigits*x.digit(p)), float64(modelPart*p))})
			}
		case x.Test == safety.TestZs: // Ze and the electrode, which other paths have no part in, are weighed alone
			if nothing(p) != nothing(o.value) {
				f.log += leastLog
			} else if !nothing(p) {
				loops = append(loops, residual{o.value - p, p, weight(float64(scatterDigits*x.digit(p)), float64(0.01*p))})
			}
		default:
			f.log += m.alone(x, p, o.value)
		}
	}
	f.nulled = true
	var l float64
	l, f.offset, f.gain = common(lows, 0, lowOffsetOhm, lowGain)
	if un, offset, gain := common(lows, 0, unnulledOhm, lowGain); un+unnulledPrior > l && math.Abs(offset) > 0.03 {
		l, f.offset, f.gain, f.nulled = un+unnulledPrior, offset, gain, false
	}
	f.log += l
	mean, spread := 0.0, loopOffsetOhm
	if m.Rig.RCDOf(m.Circuit) != nil {
		mean, spread = upliftOhm, upliftSpread
	}
	l, f.loop, f.loopGain = common(loops, mean, spread, loopGain+m.loopPart())
	f.log += l
	return f
}

// loopPart is how far a loop may be from the description, as a part of it. With an earth electrode of its own the
// installation's earth is shared with whatever is bonded and stands in the ground, of which a description knows nothing.
func (m *Model) loopPart() float64 {
	if m.Rig.Supply.Earthing == rig.TT && len(m.Rig.Earthing.Bonds) > 0 {
		return 1.5
	}
	return 0
}

func weight(a, b float64) float64 { return 1 / (float64(a*a) + float64(b*b)) }

// common estimates the offset and gain that some readings have in common, by least squares with what is known of them
// beforehand, and returns the log likelihood that is left.
func common(all []residual, mean, offsetSpread, gainSpread float64) (log, offset, gain float64) {
	if len(all) == 0 {
		return 0, mean, 0
	}
	a, d := 1/(offsetSpread*offsetSpread), 1/(gainSpread*gainSpread)
	b, x, y := 0.0, float64(mean*a), 0.0
	for _, r := range all {
		a += r.w
		b += float64(r.w * r.p)
		d += float64(r.w * r.p * r.p)
		x += float64(r.w * r.r)
		y += float64(r.w * r.p * r.r)
	}
	det := float64(a*d) - float64(b*b)
	offset, gain = (float64(x*d)-float64(y*b))/det, (float64(a*y)-float64(b*x))/det
	away := (offset - mean) / offsetSpread
	log = -(float64(away*away) + gain*gain/(gainSpread*gainSpread)) / 2
	for _, r := range all {
		left := r.r - offset - float64(gain*r.p)
		log += tail(float64(left * left * r.w))
	}
	return log, offset, gain
}

// tail is the log likelihood of a squared error in spreads: Student's t with eight degrees of freedom, which forgives a
// poor contact sooner than a normal distribution does.
func tail(z float64) float64 { return max(leastLog, float64(-4.5*math.Log1p(z/8))) }

// expected is what a hypothesis predicts for a reading. At a point that the rig does not describe and the hypothesis does
// not add, it is what the nearest of the points it knows would show: a socket-outlet somewhere on the circuit.
func (m *Model) expected(pred answer, o observed) float64 {
	p := float64(pred[o.measure]*m.scale[o.measure]) + m.bias[o.measure]
	x := m.Measures[o.measure]
	if !x.unknown || p >= 0 {
		return p
	}
	best := math.Inf(1)
	for i, other := range m.Measures {
		if other.Test == x.Test && !other.unknown && (nothing(best) || math.Abs(pred[i]-o.value) < math.Abs(best-o.value)) {
			best = pred[i]
		}
	}
	return best
}

// alone weighs a reading that has no error in common with others.
func (m *Model) alone(x *Measure, p, v float64) float64 {
	if nothing(p) || nothing(v) {
		switch {
		case math.IsNaN(p) && x.function == signature.Volts:
			return 0
		case x.function == signature.Insulating && nothing(p) && v >= soundMegohm, x.function == signature.Insulating && nothing(v) && p >= soundMegohm:
			return 0
		case nothing(p) && nothing(v):
			return 0
		}
		return leastLog
	}
	var sd float64
	switch x.function {
	case signature.Insulating:
		if p >= soundMegohm && v >= soundMegohm {
			return 0
		}
		sd = float64(0.08*p) + 0.02
	case signature.RCDTime:
		sd = float64(0.12*p) + 2
	case signature.RCDRamp:
		sd = float64(0.05*p) + 1
	case signature.Volts:
		sd = float64(0.02*p) + 2
	case signature.FaultAmps:
		sd = float64((0.03+m.loopPart())*p) + 0.03
	case signature.LoopNoTrip:
		sd = float64(0.03*p) + 0.15
	default:
		sd = float64(0.03*p) + 0.03
	}
	d := (v - p) / sd
	return tail(float64(d * d))
}

// soundMegohm is the insulation from which a reading says only that there is no fault: sound circuits differ.
const soundMegohm = 25

// between is what measure i shows for a form of some size, from the sizes worked out beforehand.
func (m *Model) interpolated(out answer, f *form, size float64) answer {
	known := m.known(f, dead)
	if len(known) == 1 {
		return append(out[:0], known[0]...)
	}
	k := 0
	for k < len(f.sizes)-2 && size > f.sizes[k+1] {
		k++
	}
	a, b := k, k+1
	c := k + 2
	if c >= len(f.sizes) {
		c = k - 1
	}
	near := a
	if math.Abs(math.Log(f.sizes[b]/size)) < math.Abs(math.Log(f.sizes[a]/size)) {
		near = b
	}
	out = append(out[:0], known[near]...)
	if c < 0 {
		return out
	}
	for i := range out {
		p, q, r := known[a][i], known[b][i], known[c][i]
		if nothing(p) || nothing(q) || nothing(r) {
			continue
		}
		out[i] = bilinear(f.sizes[a], p, f.sizes[b], q, f.sizes[c], r, size)
	}
	return out
}

// bilinear is (α + β·s)/(1 + γ·s) through three points. It is what a resistance between two terminals is as a function of
// one branch's resistance.
func bilinear(s1, p1, s2, p2, s3, p3, s float64) float64 {
	u2, u3 := (p2-p1)/(s2-s1), (p3-p1)/(s3-s1)
	v2, v3 := (float64(s2*p2)-float64(s1*p1))/(s2-s1), (float64(s3*p3)-float64(s1*p1))/(s3-s1)
	gamma := 0.0
	if d := v3 - v2; math.Abs(d) > 1e-12*(math.Abs(v3)+math.Abs(v2)) {
		gamma = (u2 - u3) / d
	}
	beta := u2 + float64(gamma*v2)
	alpha := float64(p1*(1+float64(gamma*s1))) - float64(beta*s1)
	down := 1 + float64(gamma*s)
	if !(down > 1e-9) {
		return p1 + (p2-p1)*(s-s1)/(s2-s1)
	}
	return (alpha + float64(beta*s)) / down
}

// sized finds the size of a form with which it reproduces the readings best.
func (m *Model) sized(f *form, seen []observed, buffer *answer) (size float64, best fit) {
	if len(f.sizes) == 0 {
		return 0, m.against(m.known(f, dead)[0], seen)
	}
	try := func(s float64) fit {
		*buffer = m.interpolated(*buffer, f, s)
		return m.against(*buffer, seen)
	}
	worth := math.Inf(-1)
	low, high := f.sizes[0], f.sizes[len(f.sizes)-1]
	const steps = 24
	ratio := math.Pow(high/low, 1.0/steps)
	take := func(s float64) {
		t := try(s)
		if w := t.log + f.sizePrior(s); w > worth {
			size, best, worth = s, t, w
		}
	}
	for i := range steps + 1 {
		take(float64(low * math.Pow(ratio, float64(i))))
	}
	for width := ratio; width > 1.002; width = math.Sqrt(width) {
		for _, s := range []float64{size / math.Sqrt(width), float64(size * math.Sqrt(width))} {
			if s >= low && s <= high {
				take(s)
			}
		}
	}
	return size, best
}
