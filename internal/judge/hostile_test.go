package judge

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"wanderlead/internal/hostile"
)

// FuzzCommand: whatever is typed as a test and its numbers, units and devices is judged or refused by name; the verdict has
// finite numbers and is JSON, a complaint acts on no terminal and comes with a hint.
func FuzzCommand(f *testing.F) {
	for _, s := range []string{
		"zs\nvalue=0.56\ndevice=C32\nze=0.30\nr1r2=0.25", "zs\nvalue=>299\ndevice=BS3036-30\ntime=5", "insulation\nvalue=>999 MΩ\nsystem=SELV\nconnected=spd",
		"ring-crossed\nstep=line-cpc\nr1=0.4\nr2=0.7\nreadings=0.20,0.21,>1", "rcd\nrated=30 mA\nmultiple=5\nvalue=no-trip\ntype=B", "pfc\nzs=0.1\nphases=3",
		"voltage\nbetween=L-N\nvalue=0\nexpect=dead", "continuity\nvalue=1e400\nlength=0x1p3\ntemperature=-273.15", "bonding\nvalue=0,05\ncsa=99999999999999999999",
		"ze\nvalue=\x1b[2J\nearthing=\u202eTT", "electrode\nvalue=NaN\nrated=Inf", "rcd-ramp\nrated=30\nvalue=4.9e-324", "zap", "", "zs\n=\n==\nvalue=\nvalue=",
	} {
		f.Add(s)
	}
	p, texts := pack(f, ""), catalogue(f)
	f.Fuzz(func(t *testing.T, line string) {
		if len(line) > 2000 {
			return
		}
		args := strings.Split(line, "\n")
		q, err := ParseArgs(args[0], args[1:])
		if err == nil {
			var v Verdict
			if v, err = Judge(p, q); err == nil {
				sound(t, line, v)
			}
		}
		if bad := hostile.Said(err); bad != "" {
			t.Error(bad)
		}
		var stdout, stderr bytes.Buffer
		code := Command(p, texts, args, true, &stdout, &stderr)
		if out, errs := stdout.String(), stderr.String(); (code == 2) != (err != nil) || code < 2 && !json.Valid([]byte(out)) || code == 2 && !strings.Contains(errs, "hint: ") {
			t.Errorf("%q: exit %d, %v, %q, %q", line, code, err, out, errs)
		}
	})
}

func sound(t *testing.T, line string, v Verdict) {
	t.Helper()
	if v.Verdict.Rank() == 0 {
		t.Errorf("%q: verdict %q", line, v.Verdict)
	}
	for _, e := range v.Expected {
		if math.IsNaN(e.Value) || math.IsInf(e.Value, 0) {
			t.Errorf("%q: expected %s is %v", line, e.Name, e.Value)
		}
	}
	for _, l := range v.Limits {
		if math.IsNaN(l.Value) || math.IsInf(l.Value, 0) {
			t.Errorf("%q: limit %s is %v", line, l.Name, l.Value)
		}
	}
}
