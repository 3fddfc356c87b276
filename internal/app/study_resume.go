package app

import (
	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/journal"
	"wanderlead/internal/prompt"
	"wanderlead/internal/record"
	"wanderlead/internal/study"
)

// resumeStudy goes on with a study session. A pause lapses nothing on a computed rig.
func (a *app) resumeStudy(lib *content.Library, j *journal.Journal, lines []journal.Line, path string, script *prompt.Script) error {
	var seen []func(*tally)
	var route []string
	rep, err := record.ReplayStudySeen(lines, func(event int, before, after *study.State, fb study.Feedback) {
		seen = append(seen, func(t *tally) { t.see(event, before, after, fb) })
		if fb.Shown != nil && len(fb.Shown.At) > 0 {
			route = append(route, step(fb.Shown))
		}
	}, lib)
	if err != nil {
		_ = j.Close()
		return fail(ExitUsage, err)
	}
	r := a.studyRunner(lib, rep.Kit, rep.State, j, path, script)
	r.tally, r.events = newTally(rep.State, rep.Header.Session, r.view.book), len(seen)
	r.route = route
	for _, see := range seen[min(a.noted(rep.Header.Session), len(seen)):] { // what ended before it could be remembered
		see(r.tally)
	}
	r.watch()
	defer r.close()
	r.clock.since(lines)
	if kept := j.Kept(); kept != "" {
		r.front.Show(r.view.text("record.torn", map[string]string{"kept": plainText(kept)}))
	}
	if err := writeCut(j, rep.CutOff); err != nil {
		return fail(ExitUsage, err, "everything acknowledged so far is in "+path)
	}
	if rep.State.Ended() != "" { // broken off after the last answer, before the record was closed
		return r.end()
	}
	r.begin(rep.State.Setup(), rep.Header.Fields[record.FieldSymptom])
	if err := r.turn(coach.Event{Type: coach.Resumed}); err != nil {
		return err
	}
	return r.run()
}
