package lint

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"wanderlead/internal/sequence"
)

// edited is a built-in file with pieces of text exchanged; a piece that is not there fails the test.
func edited(t *testing.T, file string, pairs ...string) string {
	t.Helper()
	data, err := library(t, "").Read(file)
	if err != nil {
		t.Fatal(err)
	}
	text := string(data)
	for i := 0; i < len(pairs); i += 2 {
		if !strings.Contains(text, pairs[i]) {
			t.Fatalf("%s holds no %q", file, pairs[i])
		}
		text = strings.ReplaceAll(text, pairs[i], pairs[i+1])
	}
	return text
}

func put(t *testing.T, dir, name, text string) {
	t.Helper()
	file := filepath.Join(dir, name)
	if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// slipway is a sequence of somebody's own: circuits before earthing and bonding are not allowed, but the order of the
// circuits is theirs, polarity comes after insulation, the earthing is read a second time, and a look round is added.
const slipway = `sequence: slipway-check
title: The slipway board, our order
incoming: declared
stages:
  - stage: isolation
    title: Isolation
    steps:
      - include: instrument-check
      - include: safe-isolation
      - include: visual-inspection
  - stage: earth
    title: Earth
    steps:
      - include: earthing-bonding
      - include: neutral-bars
  - stage: lights
    title: Lights first
    steps:
      - each: circuit
        where: {shape: lighting}
        steps:
          - include: lighting-circuit
  - stage: rest
    title: The rest
    steps:
      - each: circuit
        where: {shape: [radial, fixed]}
        steps:
          - include: our-radial
      - act: look
        id: tide/mark
        practise: Look for salt on {board}. What do you see?
        study: On the simulated rig, {board} is looked at for salt. What is seen?
        right: {say: clean, text: "No salt"}
        wrong:
          - {say: salt, text: "White crust at the gland", because: "Salt carries current. Report it."}
  - stage: again
    title: Earthing again
    steps:
      - include: earthing-again
      - include: close-board
      - include: origin-declared
  - stage: live
    title: Live
    steps:
      - gate: installation
      - include: circuits-live
      - include: rcd-full
      - include: functional
  - stage: finish
    title: Back
    steps:
      - include: finish
`

const earthingAgain = `sequence: earthing-again
title: A second reading of the earthing conductor
steps:
  - block: earthing once more
    steps:
      - act: lift
        id: again/lift
        opens: earthing-conductor earthing-again
        at: board
        practise: Take the earthing conductor off {met} once more.
        study: On the simulated rig, the earthing conductor comes off {met} once more.
        right: {say: "off", text: "Off"}
      - read: earthing
        id: again/earthing
        practise: Measure it again and type it.
        study: On the simulated rig, measure it again and type it.
      - act: reconnect
        id: again/back
        closes: earthing-conductor earthing-again
        at: board
        practise: Put it back, tighten, pull.
        study: On the simulated rig, it goes back.
        right: {say: back, text: "Back, tight"}
`

// ownContent writes a sequence and a rig that are not built in: another order, a test added, points and circuits renamed.
func ownContent(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	put(t, dir, "slipway-check.yaml", slipway)
	put(t, dir, "earthing-again.yaml", earthingAgain)
	radial := edited(t, "radial-final.yaml", "sequence: radial-final", "sequence: our-radial")
	from, to := strings.Index(radial, "  - observe: polarity"), strings.Index(radial, "  - act: unlink")
	polarity := radial[from:to]
	radial = strings.Replace(radial, polarity, "", 1)
	put(t, dir, "our-radial.yaml", strings.Replace(radial, "  - include: insulation-circuit\n", "  - include: insulation-circuit\n"+polarity, 1))
	put(t, dir, "rigs/slipway-two.yaml", edited(t, "rigs/slip-outbuilding.yaml",
		"id: slip-outbuilding", "id: slipway-two", "{id: s1, label: door", "{id: front-door, label: front door",
		"radial-1/continuity/s1", "radial-1/continuity/front-door", "radial-1/zs/s1", "radial-1/zs/front-door"))
	return dir
}

// TestOwnSequenceOnOwnRig: content from a folder of somebody's own is checked and worked through to its end.
func TestOwnSequenceOnOwnRig(t *testing.T) {
	lib := library(t, ownContent(t))
	s, r := loadSeq(t, lib, "slipway-check"), loadRig(t, lib, "slipway-two")
	for _, p := range Quick(lib, s, r, sequence.Declared) {
		t.Error(p.Error)
	}
	d, p := driveOn(t, s, r, sequence.Declared, sequence.NewFinder(lib))
	if d.Ended != "complete" || !d.GatePassed {
		t.Errorf("ended %q, gate passed %v after %d answers", d.Ended, d.GatePassed, d.Answers)
	}
	for _, id := range []string{"again/earthing", "tide/mark", "radial-1/continuity"} {
		if _, ok := p.Step(id); !ok {
			t.Errorf("no step %s", id)
		}
	}
	lights, _ := p.Step("lighting-1/continuity")
	sockets, _ := p.Step("radial-1/continuity")
	polarity, _ := p.Step("radial-1/polarity")
	insulation, _ := p.Step("radial-1/insulation")
	if lights > sockets || polarity < insulation {
		t.Error("the order is not that of the file")
	}
}

// TestInsulationBeforeContinuityIsRefused moves insulation to the front of each built-in circuit sequence; the complaint
// names file and line of what was moved.
func TestInsulationBeforeContinuityIsRefused(t *testing.T) {
	for _, name := range []string{"ring-final", "radial-final", "lighting-circuit"} {
		dir := t.TempDir()
		text := edited(t, name+".yaml", "  - include: insulation-circuit\n", "")
		at := strings.Index(text, "  - read: ")
		put(t, dir, name+".yaml", text[:at]+"  - include: insulation-circuit\n"+text[at:])
		line := strings.Count(text[:at], "\n") + 1
		lib := library(t, dir)
		ps := Quick(lib, loadSeq(t, lib, "whole-board"), loadRig(t, lib, "training-bay"), sequence.Measured)
		found := false
		for _, p := range ps.Bad() {
			found = found || p.Rule == "order" && p.File == filepath.Join(dir, name+".yaml") && p.Line == line &&
				strings.HasPrefix(p.Message, "insulation stands before ")
		}
		if !found {
			t.Errorf("%s: nothing is said about line %d:\n%v", name, line, ps)
		}
	}
}
