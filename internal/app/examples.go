package app

import "github.com/spf13/cobra"

// examples are those of commands that have none beside them.
var examples = map[string]string{
	"wanderlead": `  wanderlead
  wanderlead practise --sequence lesson-ring
  wanderlead judge zs value=0.86 device=B32`,
	"wanderlead assess": `  wanderlead assess papers
  wanderlead assess prepare ring-dead --candidates C-01,C-02 --setting alone --dir day-1
  wanderlead assess sit day-1/C-01.jsonl`,
	"wanderlead assess papers":   `  wanderlead assess papers`,
	"wanderlead assess rule":     `  wanderlead assess rule`,
	"wanderlead assess plant":    `  wanderlead assess plant day-1/C-01.jsonl`,
	"wanderlead assess sit":      `  wanderlead assess sit day-1/C-01.jsonl`,
	"wanderlead assess key":      `  wanderlead assess key --out assessor`,
	"wanderlead assess sign":     `  wanderlead assess sign day-1/C-01.jsonl --key assessor`,
	"wanderlead assess evidence": `  wanderlead assess evidence day-1/C-01.jsonl --signer assessor.pub`,
	"wanderlead assess mark": `  wanderlead assess mark day-1/C-01.jsonl
  wanderlead assess mark day-1/C-01.jsonl --pdf C-01-marks.pdf
  wanderlead assess mark day-1/C-01.jsonl --candidate --pdf C-01-feedback.pdf`,
	"wanderlead assess remark":   `  wanderlead assess remark day-1/C-01.jsonl C-01-marks.json`,
	"wanderlead assess reveal":   `  wanderlead assess reveal day-1/C-01.jsonl`,
	"wanderlead assess delete":   `  wanderlead assess delete day-1/C-01.jsonl --reason "asked for by the candidate"`,
	"wanderlead cohort":          `  wanderlead cohort day-1`,
	"wanderlead list":            "  wanderlead list\n  wanderlead list sequences --content mine",
	"wanderlead resume":          `  wanderlead resume record.jsonl`,
	"wanderlead verify":          `  wanderlead verify record.jsonl`,
	"wanderlead progress export": `  wanderlead progress export sam.json --learner sam`,
	"wanderlead progress delete": `  wanderlead progress delete --learner sam`,
}

// exemplify gives each command its example.
func exemplify(cmd *cobra.Command) {
	if cmd.Example == "" {
		cmd.Example = examples[cmd.CommandPath()]
	}
	for _, c := range cmd.Commands() {
		exemplify(c)
	}
}
