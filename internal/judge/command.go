package judge

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"wanderlead/internal/edition"
	"wanderlead/internal/quantity"
)

// Exit codes of the command.
const (
	ExitPass  = 0
	ExitNo    = 1 // doubt or fail
	ExitUsage = 2
)

// Command runs `judge TEST key=value…` and gives the exit code. Stdout holds the
// verdict, with asJSON one JSON object and nothing else; errors go to stderr,
// one line each with its hints below.
func Command(pack *edition.Pack, texts Texts, args []string, asJSON bool, stdout, stderr io.Writer) int {
	if len(args) == 0 {
		return usage(stderr, ArgErrors{{Key: "judge", Msg: "no test named", Hint: "tests: " + testList()}})
	}
	q, err := ParseArgs(args[0], args[1:])
	if err != nil {
		return usage(stderr, err)
	}
	v, err := Judge(pack, q)
	if err != nil {
		return usage(stderr, err)
	}
	if asJSON {
		err = v.WriteJSON(stdout, texts)
	} else {
		_, err = io.WriteString(stdout, strings.Join(v.Lines(pack, texts), "\n")+"\n")
	}
	if err != nil {
		fmt.Fprintf(stderr, "judge: the verdict could not be written: %v\n", err)
		return ExitUsage
	}
	if v.Verdict == Pass {
		return ExitPass
	}
	return ExitNo
}

func usage(stderr io.Writer, err error) int {
	var list ArgErrors
	if !errors.As(err, &list) {
		fmt.Fprintf(stderr, "judge: %v\n", err)
		return ExitUsage
	}
	for _, e := range list {
		fmt.Fprintf(stderr, "judge: %s\n", e.Error())
		if e.Hint != "" {
			fmt.Fprintf(stderr, "hint: %s\n", e.Hint)
		}
	}
	return ExitUsage
}

// Lines gives the verdict as lines of text: the outcome, the readings, what was
// expected with the arithmetic, each limit with its source and status, why, and
// what to do now.
func (v Verdict) Lines(pack *edition.Pack, texts Texts) []string {
	label := func(id string) string { return texts.Text("label-"+id, nil) }
	lines := []string{v.Test + " - " + texts.Text("outcome-"+string(v.Verdict), nil)}
	for _, n := range v.Readings {
		lines = append(lines, fmt.Sprintf("  %s %s: %s", label("reading"), n.Name, n.Reading))
	}
	for _, e := range v.Expected {
		lines = append(lines, fmt.Sprintf("  %s %s: %s = %s", label("expected"), e.Name, quantity.Format(e.Value, e.Unit), e.Formula))
	}
	for _, l := range v.Limits {
		lines = append(lines, fmt.Sprintf("  %s %s: %s %s (%s; %s)", label("limit"), l.Name, label(l.Bound), quantity.Format(l.Value, l.Unit), l.Source, l.Status))
	}
	if v.MarginPercent != nil {
		lines = append(lines, fmt.Sprintf("  %s: %+.1f %%", label("margin"), *v.MarginPercent))
	}
	for _, r := range v.Reasons {
		lines = append(lines, texts.Text(r.ID, r.Params))
	}
	for _, r := range v.Next {
		lines = append(lines, label("next")+": "+texts.Text(r.ID, r.Params))
	}
	lines = append(lines, label("edition")+": "+pack.Title)
	if notice := pack.Notice(); notice != "" {
		lines = append(lines, notice)
	}
	return append(lines, texts.Text("judge-closing", nil))
}
