package app

import (
	"encoding/json"
	"fmt"

	"wanderlead/internal/assess/exam"
	"wanderlead/internal/journal"
	"wanderlead/internal/record"
)

// verified is what verify says in JSON.
type verified struct {
	Holds       bool                 `json:"holds"`
	Lines       []string             `json:"lines"`
	Differences []journal.Difference `json:"differences"`
}

// verify checks the chain of a record, then replays it and compares.
func (a *app) verify(path string) error {
	rep, err := journal.Verify(path)
	if err != nil {
		return a.recordError(err)
	}
	v := verified{Holds: rep.Holds(), Lines: rep.Text(), Differences: []journal.Difference{}}
	if rep.Damage == nil {
		if err := v.replay(path); err != nil {
			v.Holds = false
			v.Lines = append(v.Lines, "It does not replay: "+err.Error()+".")
		}
	}
	if a.opt.json {
		if err := json.NewEncoder(a.jsonOut()).Encode(v); err != nil {
			return fail(ExitUsage, err)
		}
	} else {
		for _, l := range v.Lines {
			fmt.Fprintln(a.out(), plainText(l))
		}
		for _, d := range v.Differences {
			fmt.Fprintf(a.out(), "event %d, %s: recorded %q, replayed %q\n", d.Seq, d.Field, plainText(d.Recorded), plainText(d.Replayed))
		}
	}
	if !v.Holds {
		return done(ExitNo)
	}
	return nil
}

func (v *verified) replay(path string) error {
	lines, err := journal.ReadFile(path)
	if len(lines) == 0 {
		return err
	}
	differences, err := differences(lines)
	if err != nil {
		return err
	}
	for _, d := range differences {
		if !d.Cut {
			v.Differences = append(v.Differences, d)
		}
	}
	if len(v.Differences) > 0 {
		v.Holds = false
	} else {
		v.Lines = append(v.Lines, "Replayed: the same events give the same verdicts.")
	}
	return nil
}

// differences are where a replay comes to something else than the record says; an exam
// has a session of its own.
func differences(lines []journal.Line) ([]journal.Difference, error) {
	if lines[0].Header != nil && exam.IsExam(lines[0].Header) {
		return exam.Differences(lines)
	}
	return record.Differences(lines)
}
