package faults

import (
	"fmt"
	"math"
	"net/url"
	"strconv"
)

// String writes a planting on one line without spaces: kind, then what is not left to
// the kind.
func (p Planting) String() string {
	v := url.Values{}
	set := func(k, x string) {
		if x != "" {
			v.Set(k, x)
		}
	}
	set("circuit", p.Circuit)
	set("from", p.From)
	set("to", p.To)
	set("point", p.Point)
	if p.Ohm != 0 {
		set("ohm", strconv.FormatFloat(p.Ohm, 'g', -1, 64))
	}
	if p.Metre != 0 {
		set("metre", strconv.FormatFloat(p.Metre, 'g', -1, 64))
	}
	if len(v) == 0 {
		return p.Kind
	}
	return p.Kind + "?" + v.Encode()
}

// ParsePlanting reads what String writes. The error says what of it is no fault, or no length or resistance.
func ParsePlanting(s string) (Planting, error) {
	u, err := url.Parse(s)
	if err != nil {
		return Planting{}, fmt.Errorf("fault %q: %w", s, err)
	}
	q := u.Query()
	p := Planting{Kind: u.Path, Circuit: q.Get("circuit"), From: q.Get("from"), To: q.Get("to"), Point: q.Get("point")}
	if _, ok := kinds[p.Kind]; !ok {
		return Planting{}, fmt.Errorf("there is no kind of fault %q", p.Kind)
	}
	for k, to := range map[string]*float64{"ohm": &p.Ohm, "metre": &p.Metre} {
		if x := q.Get(k); x != "" {
			if *to, err = strconv.ParseFloat(x, 64); err != nil {
				return Planting{}, fmt.Errorf("fault %q: %s: %w", s, k, err)
			}
			if !(*to >= 0) || math.IsInf(*to, 0) { // not a number is neither
				return Planting{}, fmt.Errorf("fault %q: %s is %s, and a length or resistance from 0 up would be right", s, k, x)
			}
		}
	}
	return p, nil
}
