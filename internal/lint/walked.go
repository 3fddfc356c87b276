package lint

import (
	"fmt"

	"wanderlead/internal/coach"
	"wanderlead/internal/walk"
)

// Walk explores every turn that a session can take: wrong answers, skips, repeats, corrections, failed readings, stops,
// pauses. maxStates bounds it; 0 means no bound.
func Walk(maxStates int) func(coach.Setup) Walked {
	return func(s coach.Setup) Walked {
		rep := walk.Run(s, walk.Options{MaxStates: maxStates})
		w := Walked{States: rep.States, Transitions: rep.Transitions, LiveArrivals: rep.LiveArrivals, Cut: rep.Cut}
		for _, p := range rep.Problems {
			w.Problems = append(w.Problems, fmt.Sprintf("%s: %s%s", p.Kind, p.Text, lastTurns(p.Trace)))
		}
		return w
	}
}

// lastTurns shows how a walk came to a problem: its last events.
func lastTurns(trace []coach.Event) string {
	const shown = 6
	out := ""
	if len(trace) == 0 {
		return ""
	}
	for _, e := range trace[max(0, len(trace)-shown):] {
		out += fmt.Sprintf("; %s %s %q", e.Type, e.At, e.Raw)
	}
	return " (after" + out[1:] + ")"
}
