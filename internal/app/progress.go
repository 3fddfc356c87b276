package app

import (
	"encoding/json"
	"fmt"
	"strconv"

	"github.com/spf13/cobra"

	"wanderlead/internal/exercise"
	"wanderlead/internal/learner"
)

func (a *app) progressCmd() *cobra.Command {
	var pdfFile string
	cmd := &cobra.Command{
		Use:   "progress",
		Short: "what a learner has practised in study, what is due, which mistakes came back",
		Long: `progress shows what is remembered of a learner's study sessions. It is kept on
this machine alone, beside the records, a file for each learner.`,
		Example: `  wanderlead progress
  wanderlead progress --learner sam --json
  wanderlead progress --learner sam --pdf sam.pdf
  wanderlead progress export sam.json --learner sam
  wanderlead progress delete --learner sam`,
		Args: cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			if pdfFile != "" {
				return a.progressPDF(pdfFile)
			}
			return a.progress()
		},
	}
	pdfFlag(cmd, &pdfFile)
	cmd.AddCommand(&cobra.Command{
		Use:   "export FILE|-",
		Short: "write everything that is remembered of a learner to a new file, as JSON",
		Args:  cobra.ExactArgs(1),
		RunE:  func(_ *cobra.Command, args []string) error { return a.exportLearner(args[0]) },
	}, &cobra.Command{
		Use:   "delete",
		Short: "forget a learner; --learner has to name whom",
		Args:  cobra.NoArgs,
		RunE:  func(*cobra.Command, []string) error { return a.deleteLearner() },
	})
	return cmd
}

func (a *app) memory() (*learner.Memory, error) {
	m, err := a.learners().Load(or(a.opt.learner, learner.Usual))
	if err != nil {
		return nil, hinted(err)
	}
	return m, nil
}

func (a *app) progress() error {
	m, err := a.memory()
	if err != nil {
		return err
	}
	if a.opt.json {
		return json.NewEncoder(a.jsonOut()).Encode(m)
	}
	lib, err := a.library()
	if err != nil {
		return err
	}
	v := a.newView(lib)
	if v.err != nil {
		return a.contentError(v.err)
	}
	say := func(id string, kv ...string) {
		params := map[string]string{}
		for i := 0; i+1 < len(kv); i += 2 {
			params[kv[i]] = kv[i+1]
		}
		for _, l := range v.wrap(v.text("progress."+id, params)) {
			fmt.Fprintln(a.out(), l)
		}
	}
	say("head", "learner", m.Learner, "sessions", strconv.Itoa(len(m.Sessions)))
	names, _ := a.learners().Names()
	for _, n := range names {
		if n != m.Learner {
			say("other", "learner", n)
		}
	}
	for _, test := range m.Order(exercise.Practisable, a.today()) {
		t, known := m.Topics[test]
		if !known || t.Last == "" {
			say("never", "test", test)
			continue
		}
		say("topic", "test", test, "right", strconv.Itoa(t.Right), "wrong", strconv.Itoa(t.Wrong), "hints", strconv.Itoa(t.Hints), "last", t.Last, "due", t.Due)
	}
	_, g, err := a.guide()
	if err != nil {
		return err
	}
	for _, id := range m.Recurring() {
		title := id
		if e, ok := g.Find(id); ok {
			title = e.Title
		}
		say("mistake", "times", strconv.Itoa(m.Mistakes[id].Times), "title", title, "id", id)
	}
	say("method")
	return nil
}

func (a *app) exportLearner(path string) error {
	m, err := a.memory()
	if err != nil {
		return err
	}
	data, err := json.MarshalIndent(m, "", "  ")
	if err != nil {
		return fail(ExitUsage, err)
	}
	data = append(data, '\n')
	if path == "-" {
		_, err = a.jsonOut().Write(data)
		return err
	}
	return writeNew(path, data)
}

func (a *app) deleteLearner() error {
	if a.opt.learner == "" {
		return usagef("name the learner: --learner NAME", "nobody was named")
	}
	was, err := a.learners().Delete(a.opt.learner)
	if err != nil {
		return hinted(err)
	}
	if !was {
		return usagef("progress lists the learners there are", "nothing is remembered of %q", a.opt.learner)
	}
	fmt.Fprintln(a.out(), "Forgotten: "+a.opt.learner)
	return nil
}

// offered puts the exercises in the order in which a learner should practise: by the first of their tests that is weak or
// long unseen. With nothing remembered the list stays as it is.
func (a *app) offered(all []exercise.Exercise) []exercise.Exercise {
	m, err := a.memory()
	if err != nil || len(m.Sessions) == 0 {
		return all
	}
	var out []exercise.Exercise
	taken := map[string]bool{}
	for _, test := range m.Order(exercise.Practisable, a.today()) {
		for _, e := range all {
			if len(e.Tests) > 0 && e.Tests[0] == test && !taken[e.Name] {
				taken[e.Name] = true
				out = append(out, e)
			}
		}
	}
	for _, e := range all {
		if !taken[e.Name] {
			out = append(out, e)
		}
	}
	return out
}
