package truth

import (
	"testing"

	"wanderlead/internal/coach"
	"wanderlead/safety"
)

// Reasons for readings, from the trade's signatures: an open conductor, a short, a leak,
// a loose joint, a device that is slow, early or does not open.
func TestWhy(t *testing.T) {
	for _, c := range []struct {
		test       string
		class      coach.Class
		got, sound []string
		want       string
	}{
		{safety.TestEnds, coach.Pass, []string{"0.40"}, []string{"0.40"}, AsExpected},
		{safety.TestEnds, coach.Fail, []string{">99.9", "0.40", "0.65"}, []string{"0.40", "0.40", "0.65"}, NoPath},
		{safety.TestEnds, coach.Fail, []string{"1.40", "0.40", ">99.9"}, []string{"0.40", "0.40", "0.65"}, "high open"},
		{safety.TestEnds, coach.Doubt, []string{"0.42"}, []string{"0.40"}, LimitMiss}, // two digits are the instrument's own
		{safety.TestEnds, coach.Doubt, []string{"0.43"}, []string{"0.40"}, High},
		{safety.TestOwnBar, coach.Fail, []string{"0.30"}, []string{">99.9"}, Joined},
		{safety.TestInsulation, coach.Fail, []string{"0.05"}, []string{">299"}, Shorted},
		{safety.TestInsulation, coach.Fail, []string{"0.06"}, []string{">299"}, Leaking},
		{safety.TestRCD, coach.Fail, []string{"no-trip"}, []string{"28"}, NoTrip},
		{safety.TestRCD, coach.Fail, []string{"340"}, []string{"28"}, Slow},
		{safety.TestRCD, coach.Fail, []string{"25"}, []string{"no-trip"}, Early},
		{safety.TestZs, coach.Fail, []string{"1.50"}, []string{"0.56"}, High},
	} {
		if got := Why(c.test, c.class, c.got, c.sound); got != c.want {
			t.Errorf("%s %v of %v: %q, want %q", c.test, c.got, c.sound, got, c.want)
		}
	}
}
