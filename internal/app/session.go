package app

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"
	"sync/atomic"

	"wanderlead/internal/coach"
	"wanderlead/internal/content"
	"wanderlead/internal/journal"
	"wanderlead/internal/plain"
	"wanderlead/internal/prompt"
	"wanderlead/internal/record"
)

// minCode is the fewest characters of a supervisor's code.
const minCode = 4

// runner works one session: it asks what is due, keeps the record, and says what
// came of it. Order is everything here: what was typed is on the disk before the
// session sees it, and feedback is shown only after it is in the record.
type runner struct {
	a       *app
	kit     *record.Kit
	st      *coach.State
	j       *journal.Journal
	path    string
	session string
	front   prompt.Front
	script  *prompt.Script
	view    *view
	cancel  func()
	refused bool // the last thing said at a gate was a refusal
	clock   entryClock
	seen    atomic.Pointer[coach.State] // the state as a signal handler may read it
}

func (a *app) runner(lib *content.Library, kit *record.Kit, st *coach.State, j *journal.Journal, path, session string, script *prompt.Script) *runner {
	r := &runner{a: a, kit: kit, st: st, j: j, path: path, session: session, script: script}
	if a.ahead == nil {
		a.viewAhead(lib)
	}
	r.view, a.ahead = <-a.ahead, nil
	r.front = a.front(script, r.view)
	r.seen.Store(st)
	// Whoever leaves, by any way, is told what is open and what is live.
	r.cancel = prompt.RestoreOnSignal(a.sys.In, a.sys.Out, func(os.Signal) {
		fmt.Fprintln(a.sys.Err)
		for _, line := range r.view.leaving(r.seen.Load()) {
			fmt.Fprintln(a.sys.Err, plain.Painted(line))
		}
		fmt.Fprintln(a.errs(), "wanderlead: interrupted\nhint: "+r.savedHint())
		os.Exit(ExitInterrupted)
	})
	return r
}

// front is the way of asking: a script, a terminal, or plain lines. With --json
// standard output is kept for JSON, so the session speaks on standard error.
func (a *app) front(script *prompt.Script, v *view) prompt.Front {
	out := a.sys.Out
	if a.opt.json {
		out = a.sys.Err
	}
	if script != nil {
		prompt.Policy{Getenv: a.sys.Getenv, Tty: false, NoColor: true, Plain: true}.Apply()
		return prompt.NewScripted(script, out, v.text)
	}
	a.policy(out).Apply()
	return prompt.New(prompt.Config{In: a.sys.In, Out: out, Plain: a.opt.plain, Getenv: a.sys.Getenv, Text: v.text})
}

func (r *runner) close() {
	r.cancel()
	_ = r.front.Close()
	_ = r.j.Close()
}

func (r *runner) savedHint() string { return "the session is saved: wanderlead resume " + r.path }

// run asks until the session ends or is interrupted.
func (r *runner) run() error {
	for r.st.Ended() == "" {
		q, ok := r.st.Question()
		if !ok {
			break
		}
		ev, err := r.ask(q)
		if err != nil {
			return r.stopped(q, err)
		}
		if ev == nil {
			continue
		}
		if err := r.turn(*ev); err != nil {
			return err
		}
	}
	return r.end()
}

// ask puts the question and makes an event of the reply; nil when the reply changes
// nothing in the session.
func (r *runner) ask(q coach.Question) (*coach.Event, error) {
	if ev := r.onFail(q); ev != nil {
		return ev, nil
	}
	reply, err := r.front.Ask(r.view.question(r.st))
	if err != nil {
		return nil, err
	}
	switch reply.Command {
	case prompt.CommandStop:
		return &coach.Event{Type: coach.Stop, At: q.ID}, nil
	case prompt.CommandPause:
		return &coach.Event{Type: coach.Paused, At: q.ID}, nil
	case prompt.CommandShow:
		r.front.Show(r.view.show(r.st)...)
		return nil, nil
	case prompt.CommandCorrect:
		return r.correction(reply)
	case prompt.CommandHelp:
		return nil, nil
	case prompt.CommandAccept:
		return r.acceptance(q, reply), nil
	}
	if q.TextID == "ask.supervisor.code" && reply.Command == "" && len([]rune(strings.TrimSpace(reply.Raw))) < minCode {
		// Only its hash reaches the session, so its length is looked at here.
		r.front.Show("", r.view.text("code.short", map[string]string{"least": strconv.Itoa(minCode)}))
		if r.script != nil {
			r.script.Refuse()
		}
		return nil, nil
	}
	if q.TextID == "ask.supervisor.code" && reply.Command == "" && r.script == nil && r.a.terminal() {
		if same, err := sameAgain(r.front, r.view, q.ID, reply.Raw); err != nil || !same {
			return nil, err
		}
	}
	ev := &coach.Event{Type: coach.Answer, At: or(reply.At, q.ID), Raw: reply.Raw}
	if q.Kind == coach.Secret && reply.Raw != "" && reply.Command == "" {
		hashed, err := journal.NewSecret(reply.Raw).Hash(r.session)
		if err != nil {
			return nil, err
		}
		ev.Raw = hashed.String()
	}
	if reply.Command == prompt.CommandNotYet {
		ev.Raw = coach.NotYet
	}
	return ev, nil
}

// onFail answers for a script that said beforehand what to do when a reading fails.
func (r *runner) onFail(q coach.Question) *coach.Event {
	if r.script != nil && r.script.OnFail == prompt.OnFailLeave && q.TextID == "ask.fail" {
		return &coach.Event{Type: coach.Answer, At: q.ID, Raw: "leave"}
	}
	return nil
}

// acceptance is a script's `do: accept`: the supervisor's acceptance of the doubts
// put to them, or going on with a doubt until then.
func (r *runner) acceptance(q coach.Question, reply prompt.Reply) *coach.Event {
	raw := or(reply.Raw, "accepted by the supervisor after a look")
	if raw == prompt.CommandAccept {
		raw = "accepted by the supervisor after a look"
	}
	if q.TextID == "ask.doubt" {
		raw = "go-on"
	}
	return &coach.Event{Type: coach.Answer, At: q.ID, Raw: raw}
}

// correction asks what was typed wrongly, unless a script has said so already.
func (r *runner) correction(reply prompt.Reply) (*coach.Event, error) {
	if r.script != nil {
		return &coach.Event{Type: coach.Correct, At: reply.At, Raw: reply.Raw}, nil
	}
	which, err := r.front.Ask(r.view.correctWhich(r.st))
	if err != nil || which.Command != "" || which.Raw == coach.NotYet {
		return nil, err
	}
	value, err := r.front.Ask(r.view.correctValue(r.st, which.Raw))
	if err != nil || value.Command != "" {
		return nil, err
	}
	return &coach.Event{Type: coach.Correct, At: which.Raw, Raw: value.Raw}, nil
}

// turn puts one event through the record and the session, then shows what came of it.
func (r *runner) turn(ev coach.Event) error {
	if err := r.st.Check(ev); err != nil {
		return r.misfit(err)
	}
	before := r.st
	var fb coach.Feedback
	said := record.Said(ev, r.a.now())
	err := r.j.Turn(said, func(int) ([]journal.Given, error) {
		next, f, err := r.st.Apply(ev)
		if err != nil {
			return nil, err
		}
		r.st, fb = next, f
		r.seen.Store(next)
		return record.Given(fb, r.kit.Pack.Name), nil
	}, func() error {
		r.front.Show(append(r.clock.say(r.view, said.Time), r.view.feedback(before, r.st, fb)...)...)
		return nil
	})
	if err != nil {
		return r.writeError(err)
	}
	r.refused = fb.Refused != ""
	if r.refused && r.script != nil {
		r.script.Refuse()
	}
	return nil
}

// misfit is an event that does not fit: in a script that is an error of the file, at
// the keyboard it is told and asked again.
func (r *runner) misfit(err error) error {
	if r.script != nil {
		return fail(ExitUsage, err, r.savedHint())
	}
	r.front.Show("", "Not taken: "+plainText(err.Error())+".")
	return nil
}

// writeError is a record that could not be written. What was typed was not taken.
func (r *runner) writeError(err error) error {
	var f *journal.FieldError
	switch {
	case errors.As(err, &f):
		r.front.Show("", "Not taken: "+plainText(f.Error())+".")
		if r.script != nil {
			return fail(ExitUsage, err)
		}
		return nil
	case again(err) && r.script == nil:
		r.front.Show("", r.view.text("record.again", map[string]string{"why": firstLine(err)}))
		return nil
	}
	return fail(ExitUsage, err, "everything acknowledged so far is in "+r.path)
}

// stopped ends a run that could not go on asking.
func (r *runner) stopped(q coach.Question, err error) error {
	r.front.Show(r.view.leaving(r.st)...)
	var s *prompt.ScriptError
	switch {
	case errors.Is(err, prompt.ErrInterrupted):
		return fail(ExitInterrupted, errors.New("interrupted"), r.savedHint())
	case errors.Is(err, prompt.ErrGateNeedsTerminal):
		return fail(ExitRefused, err, "a safety question is answered at a terminal, or from a file with --answers", r.savedHint())
	case errors.As(err, &s):
		code := ExitUsage
		if (errors.Is(err, prompt.ErrRefused) || s.Ended && r.refused) && q.Gate {
			code = ExitRefused
		}
		return fail(code, err, r.savedHint())
	case errors.Is(err, prompt.ErrEnd), errors.Is(err, io.EOF):
		if q.Gate {
			return fail(ExitRefused, errors.New("the input ended at a safety question, which means: not yet"), r.savedHint())
		}
		return fail(ExitUsage, errors.New("the input ended"), r.savedHint())
	}
	return fail(ExitUsage, err, r.savedHint())
}

// end closes the record and shows what the session came to.
func (r *runner) end() error {
	if err := r.j.CloseRecord(r.st.Ended(), r.a.now()); err != nil {
		return fail(ExitUsage, err)
	}
	r.front.Show(r.view.end(r.st)...)
	if r.script != nil {
		if n, line := r.script.Left(); n > 0 {
			fmt.Fprintf(r.a.errs(), "wanderlead: %d answers were not used, the first at line %d\n", n, line)
		}
	}
	if r.a.opt.json {
		lines, err := journal.ReadFile(r.path)
		if err == nil {
			return r.a.writeReport(lines, formatJSON, "")
		}
		return fail(ExitUsage, err)
	}
	r.front.Show("Record: "+r.path, "Schedule: wanderlead report "+r.path)
	if r.st.Barred() {
		return done(ExitRefused)
	}
	return nil
}
