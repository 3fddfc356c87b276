//go:build linux || darwin

package prompt

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"wanderlead/internal/ptytest"
)

// The terminal tests run this test binary as the program on the terminal: it
// asks the questions of a scene and prints each reply.

func TestMain(m *testing.M) {
	if scene := os.Getenv("PROMPT_TEST_SCENE"); scene != "" {
		os.Exit(runScene(scene))
	}
	os.Exit(m.Run())
}

var longReading = Question{ID: "long", Ask: "r1 in Ω, from the line end A to the line end B:", Kind: Line}

var scenes = map[string][]Question{
	"gate":     {gate},
	"gates":    {gate, gate, gate, padlock},
	"lead":     {lead},
	"reading":  {reading},
	"readings": {reading, reading, reading},
	"long":     {reading, reading},
	"longfoot": {reading, reading},
	"longask":  {longReading, reading}, "longaskfoot": {longReading, reading},
	"padlock":  {padlock},
	"code":     {code},
	"mixed":    {reading, lead, gate, padlock, code, reading},
	"slow":     {gate}, // after a while in which nothing is asked
	"slowline": {padlock},
	"slowcode": {code},
	"many":     {manyOptions(60)},
	"panic":    {reading},

	"timed reading": {reading}, "timed list": {lead}, "timed gate": {gate}, "timed code": {code},
}

func manyOptions(n int) Question {
	q := Question{ID: "many", Ask: "Which one?", Kind: Choice}
	for i := range n {
		q.Options = append(q.Options, Option{Value: fmt.Sprintf("way-%d", i+1)})
	}
	return q
}

func runScene(name string) int {
	Policy{Tty: true}.Apply()
	f := New(Config{In: os.Stdin, Out: os.Stdout, Plain: os.Getenv("PROMPT_TEST_PLAIN") != ""})
	defer f.Close()
	if os.Getenv("PROMPT_TEST_SIGNALS") != "" {
		RestoreOnSignal(os.Stdin, os.Stdout, func(s os.Signal) {
			fmt.Printf("saved on %v\r\n", s)
			os.Exit(130)
		})
	}
	if strings.HasPrefix(name, "slow") {
		fmt.Println("working")
		waitForFile(os.Getenv("PROMPT_TEST_GO"))
	}
	if strings.HasSuffix(name, "foot") {
		fmt.Print(strings.Repeat("\n", 40))
	}
	if name == "panic" {
		if s, ok := f.(interface{ breakForTest() }); ok {
			s.breakForTest()
		}
	}
	for i, q := range scenes[name] {
		q.Lines = append([]string{"", fmt.Sprintf("question %d of %d", i+1, len(scenes[name]))}, q.Lines...)
		if strings.HasPrefix(name, "timed") {
			q.Left = func() time.Duration {
				if _, err := os.Stat(os.Getenv("PROMPT_TEST_GO")); err == nil {
					return 0
				}
				return time.Hour
			}
		}
		r, err := f.Ask(q)
		if err != nil {
			fmt.Printf("error %v\n", err)
			return map[bool]int{true: 130, false: 3}[errors.Is(err, ErrInterrupted)]
		}
		if strings.HasPrefix(name, "long") && i == 0 {
			r.Raw = "long"
		}
		fmt.Printf("got %d <%s> <%s>\n", i+1, r.Raw, r.Command)
	}
	fmt.Println("all asked")
	return 0
}

// waitForFile lets a test decide when the slow step is over.
func waitForFile(name string) {
	for {
		if _, err := os.Stat(name); err == nil {
			return
		}
		time.Sleep(5 * time.Millisecond)
	}
}

func scene(name string, env ...string) *exec.Cmd {
	cmd := exec.Command(os.Args[0])
	for _, e := range os.Environ() {
		if k, _, _ := strings.Cut(e, "="); !strings.HasPrefix(k, "CLICOLOR") && k != "NO_COLOR" && k != "TERM" {
			cmd.Env = append(cmd.Env, e)
		}
	}
	cmd.Env = append(cmd.Env, "PROMPT_TEST_SCENE="+name, "TERM=xterm-256color")
	cmd.Env = append(cmd.Env, env...)
	return cmd
}

func onTerminal(t *testing.T, name string, env ...string) *ptytest.Terminal {
	t.Helper()
	return ptytest.Start(t, scene(name, env...), 80, 24)
}
