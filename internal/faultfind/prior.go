package faultfind

import (
	"math"

	"wanderlead/internal/rig"
	"wanderlead/internal/signature"
)

// Priors, as logarithms: how much likelier one cause is than another before anything is read. Nothing wrong first, then
// innocent causes, then what is met often, then what is rare (common practice, no source).
const (
	innocentPrior = -1.5
	usualPrior    = -4.0
	rarePrior     = -5.5
	pairPrior     = -3.0 // for being two, on top of both
	sizePenalty   = -1.0 // for a size that was free to fit
)

var rare = map[string]bool{"F10": true, "F12": true, "F13": true, "F14": true, "F18": true, "F21": true, "F30": true, "F33": true, "F29": true,
	"F36": true, "F37": true, "F46": true, "F19": true}

// priors gives each form its share: a kind's is divided among its places and pairs.
func (m *Model) priors() {
	count := map[string]int{}
	for _, f := range m.forms {
		count[f.Kind]++
	}
	for _, f := range m.forms {
		switch {
		case f.Kind == None:
		case f.innocent:
			f.prior = innocentPrior
		case rare[f.Kind]:
			f.prior = rarePrior
		default:
			f.prior = usualPrior
		}
		f.prior -= math.Log(float64(count[f.Kind]))
		if len(f.sizes) > 0 {
			f.prior += sizePenalty
		}
	}
}

// biases takes the rig as it was commissioned for what it reads when sound: a resistance is off by what it was off then,
// a loop or a current by the same part.
func (m *Model) biases(r *rig.Rig) {
	m.bias, m.scale = make([]float64, len(m.Measures)), make([]float64, len(m.Measures))
	for i, x := range m.Measures {
		m.scale[i] = 1
		s := m.sound[i]
		if nothing(s) || x.unknown || x.Extra {
			continue
		}
		ref, ok := r.ReferenceReading(x.ID)
		if !ok || !ref.IsNumber() {
			continue
		}
		switch d := ref.Value - s; {
		case x.function == signature.LowOhm && math.Abs(d) <= 0.05+float64(0.1*s):
			m.bias[i] = d
		case (x.function == signature.LoopNoTrip || x.function == signature.LoopHigh || x.function == signature.FaultAmps) && s > 0 && ref.Value > s/5 && ref.Value < 5*s:
			m.scale[i] = ref.Value / s
		}
	}
}

// sizePrior says how far a size is from what is usual for its kind, a spread being a factor of six.
func (f *form) sizePrior(size float64) float64 {
	if len(f.sizes) == 0 {
		return 0
	}
	d := math.Log(size/sizesOf[f.Kind].usual) / math.Log(6)
	return -d * d / 2
}
