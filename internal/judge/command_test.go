package judge

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"
)

func runCommand(t testing.TB, asJSON bool, args ...string) (code int, out, errs string) {
	t.Helper()
	var stdout, stderr bytes.Buffer
	code = Command(pack(t, ""), catalogue(t), args, asJSON, &stdout, &stderr)
	return code, stdout.String(), stderr.String()
}

func TestExitCodes(t *testing.T) {
	for _, c := range []struct {
		args string
		code int
	}{
		{"zs value=0.9 device=B32", 0}, {"zs value=1.095 device=B32", 1}, {"zs value=2 device=B32", 1}, {"zs value=x device=B32", 2}, {"zap", 2}, {"", 2},
	} {
		for _, asJSON := range []bool{false, true} {
			code, out, errs := runCommand(t, asJSON, strings.Fields(c.args)...)
			if code != c.code || (code == 2) != (out == "") || (code == 2) != (errs != "") {
				t.Errorf("%q: exit %d, stdout %q, stderr %q", c.args, code, out, errs)
			}
			if errs != "" && (!strings.Contains(errs, "\nhint: ") || errs != strings.TrimSpace(errs)+"\n") {
				t.Errorf("%q: %q", c.args, errs)
			}
		}
	}
}

func TestErrorsComeTogetherEachWithItsKey(t *testing.T) {
	code, _, errs := runCommand(t, false, "zs", "value=0,56", "device=B32", "devise=x", "ze=", "ze=1")
	want := "judge: value: a comma in \"0,56\"\nhint: use a point for decimals: 0.42\n" +
		"judge: devise: unknown key\nhint: did you mean device? keys of zs: value, device, time, at, method, earthing, ze, r1r2, rcd\n" +
		"judge: ze: empty\nhint: give a value after the =\n" +
		"judge: ze: given twice\nhint: give each key once\n"
	if code != 2 || errs != want {
		t.Errorf("exit %d\n%s\nwant\n%s", code, errs, want)
	}
}

// The contract of --json, key by key.
func TestJSON(t *testing.T) {
	code, out, errs := runCommand(t, true, "zs", "value=0.56", "device=C32", "ze=0.30", "r1r2=0.25")
	if code != 1 || errs != "" || strings.Count(out, "\n") != 1 {
		t.Fatalf("exit %d, %q, %q", code, out, errs)
	}
	var v map[string]any
	if err := json.Unmarshal([]byte(out), &v); err != nil {
		t.Fatal(err)
	}
	keys := "test verdict edition value unit readings expected limits margin_percent reasons next"
	if len(v) != len(strings.Fields(keys)) {
		t.Errorf("keys %v", v)
	}
	for _, k := range strings.Fields(keys) {
		if _, ok := v[k]; !ok {
			t.Errorf("no %q", k)
		}
	}
	if v["test"] != "zs" || v["verdict"] != "fail" || v["edition"] != "bs7671-2018-a4" || v["value"] != 0.56 || v["unit"] != "Ω" {
		t.Errorf("%v", out)
	}
	check := func(list string, i int, want map[string]any) {
		t.Helper()
		got := v[list].([]any)[i].(map[string]any)
		if len(got) != len(want) {
			t.Errorf("%s[%d] has %v", list, i, got)
		}
		for k, w := range want {
			if w != nil && got[k] != w {
				t.Errorf("%s[%d].%s = %v, want %v", list, i, k, got[k], w)
			}
		}
	}
	check("readings", 0, map[string]any{"name": "value", "raw": "0.56", "value": 0.56, "unit": "Ω", "mark": ""})
	check("readings", 1, map[string]any{"name": "ze", "raw": "0.30", "value": 0.3, "unit": "Ω", "mark": ""})
	check("expected", 0, map[string]any{"name": "zs_sum", "value": 0.55, "unit": "Ω", "formula": nil})
	check("limits", 0, map[string]any{"name": "zs_table", "value": 0.68, "unit": "Ω", "bound": "max", "edition": "bs7671-2018-a4", "source": nil, "status": "from memory"})
	check("limits", 1, map[string]any{"name": "zs_measured", "value": nil, "unit": "Ω", "bound": "max", "edition": nil, "source": nil, "status": "confirmed"})
	check("limits", 2, map[string]any{"name": "zs_measured_rounded", "value": 0.55, "unit": "Ω", "bound": "max", "edition": nil, "source": nil, "status": nil})
	check("reasons", 0, map[string]any{"id": "zs-above", "text": nil})
	check("next", 0, map[string]any{"id": "next-zs-device", "text": nil})
	if measured := v["limits"].([]any)[1].(map[string]any)["value"].(float64); math.Abs(measured-0.54625) > 1e-9 {
		t.Errorf("zs_measured %v", measured)
	}
	if m := v["margin_percent"].(float64); math.Abs(m-(0.55-0.56)/0.55*100) > 0.001 {
		t.Errorf("margin %v", m)
	}
}

func TestJSONWithoutNumbers(t *testing.T) {
	for _, c := range []struct{ args, want string }{
		{"insulation value=>299", `"value":null,"unit":"MΩ","readings":[{"name":"value","raw":">299","value":null,"unit":"MΩ","mark":">"}]`},
		{"rcd rated=30 multiple=1 value=no-trip", `"value":null,"unit":"ms","readings":[{"name":"value","raw":"no-trip","value":null,"unit":"ms","mark":"no-trip"}]`},
		{"voltage between=L-N value=nothing expect=dead", `"value":null,"unit":"V","readings":[{"name":"value","raw":"nothing","value":null,"unit":"V","mark":""}]`},
		{"continuity value=0.4", `"expected":[],"limits":[],"margin_percent":null`},
		{"pfc zs=0.05 breaking_capacity=6", `"value":null,"unit":"kA","readings":[{"name":"zs","raw":"0.05","value":0.05,"unit":"Ω","mark":""}],"expected":[{"name":"pfc","value":4.6,"unit":"kA"`},
		{"ring-crossed step=line-neutral r1=0.40 rn=0.40 readings=0.20,0.21", `{"name":"s2","raw":"0.21","value":0.21,"unit":"Ω","mark":""}`},
		{"ring-crossed step=line-neutral r1=0.40 rn=0.40 readings=0.20,0.21", `"value":0.21`},
		{"ring-ends r1=0.40 rn=0.40 r2=0.65 line=2.5 cpc=1.5", `"value":null,"unit":"Ω","readings":[{"name":"r1"`},
	} {
		_, out, _ := runCommand(t, true, strings.Fields(c.args)...)
		if !strings.Contains(out, c.want) {
			t.Errorf("%s\ngives %s\nwithout %s", c.args, out, c.want)
		}
	}
}

func TestMargin(t *testing.T) {
	for _, c := range []struct {
		test, args string
		want       float64
	}{
		{Zs, "value=0.98 device=B32", (1.0925 - 0.98) / 1.0925 * 100},
		{Zs, "value=1.0925 device=B32", 0},
		{Zs, "value=1.30 device=B32", (1.10 - 1.30) / 1.10 * 100},
		{Zs, "value=1.30 device=B32 at=operating", (1.37 - 1.30) / 1.37 * 100},
		{Insulation, "value=200", 9900},
		{Insulation, "value=0.5", -50},
		{RCD, "rated=30 multiple=1 value=28", (300.0 - 28) / 300 * 100},
		{RCD, "rated=100 multiple=1 value=150 delay=S", (150.0 - 130) / 130 * 100},
		{Voltage, "between=L-N value=240", (253.0 - 240) / 253 * 100},
		{PFC, "zs=0.05 breaking_capacity=6", (6 - 4.6) / 6 * 100},
		{Electrode, "value=1500 rated=30", (1667.0 - 1500) / 1667 * 100},
	} {
		v := ask(t, c.test, c.args)
		if v.MarginPercent == nil || math.Abs(*v.MarginPercent-c.want) > 0.001 {
			t.Errorf("%s %s: margin %v, want %v", c.test, c.args, v.MarginPercent, c.want)
		}
	}
	for test, args := range map[string]string{RCD: "rated=30 multiple=0.5 value=no-trip", Continuity: "value=0.4", Insulation: "value=>299"} {
		if v := ask(t, test, args); v.MarginPercent != nil {
			t.Errorf("%s %s: margin %v", test, args, *v.MarginPercent)
		}
	}
}

func TestLinesNameLimitEditionAndSource(t *testing.T) {
	_, out, _ := runCommand(t, false, "zs", "value=0.56", "device=C32")
	for _, want := range []string{"zs - fail", "zs_measured: at most 0.5463 Ω", "BS 7671 Table 41.3", "U0 × Cmin / Ia", "BS 7671:2018+A4:2026", "not checked", "next: "} {
		if !strings.Contains(out, want) {
			t.Errorf("no %q in\n%s", want, out)
		}
	}
}

func BenchmarkVerdict(b *testing.B) {
	p, c := pack(b, ""), catalogue(b)
	args := strings.Fields("value=0.56 device=C32 ze=0.30 r1r2=0.25 method=no-trip rcd=30")
	var out bytes.Buffer
	for b.Loop() {
		q, err := ParseArgs(Zs, args)
		if err != nil {
			b.Fatal(err)
		}
		v, err := Judge(p, q)
		if err != nil {
			b.Fatal(err)
		}
		out.Reset()
		if err := v.WriteJSON(&out, c); err != nil {
			b.Fatal(err)
		}
	}
}

func TestArgumentsAtTheirEdges(t *testing.T) {
	for _, c := range []struct{ test, args, key, text string }{
		{"continuty", "", "test", "did you mean continuity?"},
		{"zap", "", "test", "tests: continuity,"},
		{Continuity, "value=1 length=0", "length", `"0" is not above 0`},
		{Insulation, "value=1 between=N-N", "between", "unknown pair"},
		{Insulation, "value=1 between=X-E", "between", "unknown pair"},
		{Voltage, "value=1 between=L1L2L3N-E", "between", "unknown pair"},
		{Voltage, "value=1 between=Q", "between", "unknown pair"},
		{PFC, "value=1 between=N-E", "between", "one of L-N, L-E"},
		{PFC, "value=1 between=L-N", "", ""},
		{PFC, "value=1 between=L-E", "", ""},
		{Insulation, "value=1 circuits=999", "", ""},
		{Insulation, "value=1 circuits=1", "", ""},
		{Insulation, "value=1 circuits=1000", "circuits", "not a number of circuits"},
		{Insulation, "value=1 circuits=0", "circuits", "not a number of circuits"},
		{Insulation, "value=1 circuits=007", "circuits", "not a number of circuits"},
		{RingCrossed, "step=line-neutral r1=1 rn=1 readings=0.2,x", "readings", "reading 2: "},
		{Zs, "value=1 device=B32 time=0.3", "time", "one of 0.2, 0.4, 1, 5"},
	} {
		_, err := ParseArgs(c.test, strings.Fields(c.args))
		list, _ := err.(ArgErrors)
		if c.key == "" {
			if err != nil {
				t.Errorf("%s %s: %v", c.test, c.args, err)
			}
			continue
		}
		if len(list) == 0 || list[0].Key != c.key || !strings.Contains(list[0].Msg+list[0].Hint, c.text) {
			t.Errorf("%s %s: %+v, want %s: %s", c.test, c.args, err, c.key, c.text)
		}
	}
	q := query(t, Zs, "device=nonsense")
	q.Value = ohms(1)
	if _, err := Judge(pack(t, ""), q); err == nil || err.(ArgErrors)[0].Hint == "" {
		t.Errorf("an unknown device: %+v", err)
	}
}

func TestKeysNeededFirst(t *testing.T) {
	for test, want := range map[string]string{
		RingCrossed: "step r1 readings | rn r2", Zs: "value device | time at method earthing ze r1r2 rcd", Voltage: "between value | nominal expect",
		RCD: "rated multiple value | delay type standard angle",
	} {
		var got []string
		past := false
		for _, k := range Keys(test) {
			if !k.Required && !past {
				got, past = append(got, "|"), true
			}
			if past && k.Required {
				t.Errorf("%s: %s is needed and comes late", test, k.Name)
			}
			got = append(got, k.Name)
		}
		if strings.Join(got, " ") != want {
			t.Errorf("%s: %s, want %s", test, strings.Join(got, " "), want)
		}
	}
}

func TestMarginIsPrintedWhereThereIsOne(t *testing.T) {
	for args, want := range map[string]string{"zs value=0.98 device=B32": "room to the nearest limit: +10.3 %\n", "zs value=>20 device=B32": ""} {
		_, out, _ := runCommand(t, false, strings.Fields(args)...)
		if strings.Contains(out, "room to the nearest limit") != (want != "") || !strings.Contains(out, want) {
			t.Errorf("%s:\n%s", args, out)
		}
	}
	// As near to the 1 MΩ of the standard as to the 2 MΩ of the guidance: the standard's.
	if v := ask(t, Insulation, "value=1.5"); v.MarginPercent == nil || *v.MarginPercent != 50 {
		t.Errorf("%v", v.MarginPercent)
	}
}
