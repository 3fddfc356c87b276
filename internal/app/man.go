package app

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// manCmd writes the manual pages from the text of help, one for each command. It is
// hidden: a release carries the pages.
func (a *app) manCmd() *cobra.Command {
	var dir, day string
	cmd := &cobra.Command{
		Use: "man", Short: "write the manual pages to a folder", Hidden: true, Args: cobra.NoArgs,
		Example: `  wanderlead man --out man1 --date 2026-03-02`,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if dir == "" {
				return usagef("--out DIR", "the pages need a folder")
			}
			if _, err := time.Parse(time.DateOnly, day); day != "" && err != nil {
				return usagef("--date 2026-03-02", "%q is no day", day)
			}
			if err := os.MkdirAll(dir, 0o755); err != nil {
				return fail(ExitUsage, err)
			}
			return a.writeMan(cmd.Root(), dir, day)
		},
	}
	cmd.Flags().StringVar(&dir, "out", "", "folder")
	cmd.Flags().StringVar(&day, "date", "", "day to print on the pages")
	return cmd
}

func (a *app) writeMan(cmd *cobra.Command, dir, day string) error {
	if cmd.Hidden || cmd.Name() == "help" {
		return nil
	}
	file := filepath.Join(dir, strings.ReplaceAll(cmd.CommandPath(), " ", "-")+".1")
	// Made anew each time: what is there under the name, were it a link, is not written through.
	if err := os.Remove(file); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fail(ExitUsage, err)
	}
	f, err := os.OpenFile(file, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err == nil {
		_, err = f.WriteString(manPage(cmd, a.sys.Version, day))
		err = errors.Join(err, f.Close())
	}
	if err != nil {
		return fail(ExitUsage, err)
	}
	for _, c := range cmd.Commands() {
		if err := a.writeMan(c, dir, day); err != nil {
			return err
		}
	}
	return nil
}

// manPage is a command's page in the man macros.
func manPage(cmd *cobra.Command, version, day string) string {
	var b strings.Builder
	name := strings.ReplaceAll(cmd.CommandPath(), " ", "-")
	fmt.Fprintf(&b, ".TH %s 1 %q %q %q\n", roff(strings.ToUpper(name)), day, "wanderlead "+version, "wanderlead")
	fmt.Fprintf(&b, ".SH NAME\n%s\n", folded(roff(name)+" \\- "+roff(cmd.Short)))
	b.WriteString(".SH SYNOPSIS\n")
	use := cmd.UseLine()
	if cmd.HasAvailableSubCommands() {
		use = cmd.CommandPath() + " COMMAND [flags]"
		if cmd.RunE != nil && cmd.Args != nil && cmd.Parent() == nil {
			use = cmd.CommandPath() + " [COMMAND] [flags]"
		}
	}
	fmt.Fprintf(&b, "\\fB%s\\fR%s\n", roff(cmd.CommandPath()), roff(strings.TrimPrefix(use, cmd.CommandPath())))
	if text := cmd.Long; text != "" {
		b.WriteString(".SH DESCRIPTION\n")
		manText(&b, text)
	}
	if cmd.HasAvailableSubCommands() {
		b.WriteString(".SH COMMANDS\n")
		for _, c := range cmd.Commands() {
			if c.IsAvailableCommand() {
				fmt.Fprintf(&b, ".TP\n\\fB%s\\fR\n%s\n", roff(c.Name()), folded(roffLine(c.Short)))
			}
		}
	}
	manFlags(&b, "OPTIONS", cmd.NonInheritedFlags())
	manFlags(&b, "OPTIONS OF EVERY COMMAND", cmd.InheritedFlags())
	if cmd.Example != "" {
		fmt.Fprintf(&b, ".SH EXAMPLES\n.nf\n%s\n.fi\n", roffLines(cmd.Example))
	}
	b.WriteString(".SH EXIT STATUS\n")
	for _, e := range exitTexts {
		fmt.Fprintf(&b, ".TP\n%d\n%s\n", e.code, roffLine(e.text))
	}
	manAlso(&b, cmd)
	return b.String()
}

var exitTexts = []struct {
	code int
	text string
}{
	{ExitDone, "done; a failing reading is still a done run"},
	{ExitNo, "the answer is no: lint, verify, or a doubt or fail of judge"},
	{ExitUsage, "bad usage or input, or answers that run out or do not fit"},
	{ExitRefused, "the run ended at a refused gate"},
	{ExitInterrupted, "interrupted, session saved"},
}

func manFlags(b *strings.Builder, head string, set *pflag.FlagSet) {
	first := true
	set.VisitAll(func(f *pflag.Flag) {
		if f.Hidden {
			return
		}
		if first {
			fmt.Fprintf(b, ".SH %s\n", head)
			first = false
		}
		kind, usage := pflag.UnquoteUsage(f)
		short := ""
		if f.Shorthand != "" {
			short = "\\fB\\-" + f.Shorthand + "\\fR, "
		}
		fmt.Fprintf(b, ".TP\n%s\\fB\\-\\-%s\\fR", short, roff(f.Name))
		if kind != "" {
			fmt.Fprintf(b, " \\fI%s\\fR", roff(kind))
		}
		fmt.Fprintf(b, "\n%s\n", folded(roffLine(usage)))
	})
}

func manAlso(b *strings.Builder, cmd *cobra.Command) {
	var also []string
	add := func(c *cobra.Command) {
		also = append(also, "\\fB"+roff(strings.ReplaceAll(c.CommandPath(), " ", "-"))+"\\fR(1)")
	}
	if cmd.HasParent() {
		add(cmd.Parent())
	}
	for _, c := range cmd.Commands() {
		if c.IsAvailableCommand() {
			add(c)
		}
	}
	if len(also) > 0 {
		fmt.Fprintf(b, ".SH SEE ALSO\n%s\n", strings.Join(also, ",\n"))
	}
}

// manText writes paragraphs; lines that begin with spaces keep their form.
func manText(b *strings.Builder, text string) {
	for i, p := range strings.Split(strings.TrimSpace(text), "\n\n") {
		if i > 0 {
			b.WriteString(".PP\n")
		}
		as := false
		for _, line := range strings.Split(strings.ReplaceAll(p, "\t", "    "), "\n") {
			if indented := strings.HasPrefix(line, " "); indented != as {
				as = indented
				if as {
					b.WriteString(".nf\n")
				} else {
					b.WriteString(".fi\n")
				}
			}
			if as {
				b.WriteString(roffLine(line) + "\n")
			} else {
				b.WriteString(folded(roffLine(line)) + "\n")
			}
		}
		if as {
			b.WriteString(".fi\n")
		}
	}
}

// roff escapes what the formatter would act on.
func roff(s string) string { return strings.NewReplacer(`\`, `\e`, `-`, `\-`).Replace(s) }

// roffLine escapes a line, at whose start a dot or quote is a request too.
func roffLine(s string) string {
	return roffStart(roff(s))
}

func roffStart(s string) string {
	if strings.HasPrefix(s, ".") || strings.HasPrefix(s, "'") {
		s = `\&` + s
	}
	return s
}

// folded breaks a line between words so that it stays short, as the formatters ask; they
// fill the paragraph again.
func folded(s string) string {
	const most = 72 // columns; formatters ask for less than 80
	var b strings.Builder
	at := 0
	for i, word := range strings.Fields(s) {
		switch {
		case i == 0:
		case at+1+len(word) > most:
			b.WriteString("\n")
			word, at = roffStart(word), 0
		default:
			b.WriteString(" ")
			at++
		}
		b.WriteString(word)
		at += len(word)
	}
	return b.String()
}

func roffLines(s string) string {
	lines := strings.Split(s, "\n")
	for i := range lines {
		lines[i] = roffLine(lines[i])
	}
	return strings.Join(lines, "\n")
}
