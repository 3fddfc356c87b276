package e2e

import (
	"strings"
	"testing"

	"wanderlead/internal/report"
)

// A rig and a sequence of a trainer's own: two circuits on one section, a socket
// that has a name instead of a number, the circuits in another order, and R2 by the
// long lead as a test of its own before R1+R2.
const (
	ownRig = `id: slip-rig
title: "Slip rig, board TB9"
setting: "A rig of two circuits beside the slip, invented for this test."
supply:
  earthing: TN-S
  voltage: 232 V
  phases: 1
  line-impedance: 0.2 Ω
  neutral-impedance: 0.2 Ω
  earth-impedance: 0.3 Ω
  declared:
    ze: 0.5 Ω
    pfc: 0.6 kA
    voltage: 232 V
    source: "slip sheet 1"
isolation:
  at: upstream
  device: "slip isolator Q9"
  emergency-switch: "the mushroom button E9 by the slip gate: it opens the feed of the rig"
  stays-live:
    - the feed to slip isolator Q9
  proving-source: proving unit on the tool board
  supply-seen-by: the white lamp H9 above slip isolator Q9
  incoming: shrouded
board:
  name: TB9
  location: "slip, left wall"
  supplied-from: "yard board, way 2"
  arrangement: plain
  main-switch: {label: main switch, poles: 2, rating: 100 A}
  assembly-rating: 16 kA
  sections:
    - id: section-a
      neutral-bar: NA
      rcd: {id: rcd-a, standard: BS EN 61008-1, type: A, delay: general, rated-residual: 30 mA, rating: 63 A, trip-current: 22 mA, trip-time: 28 ms}
earthing:
  terminal: MET
  conductor-size: 16 mm²
  conductor-length: 3 m
circuits:
  - id: radial-1
    number: "1"
    description: capstan sockets
    shape: radial
    section: section-a
    device: {standard: BS EN 60898, curve: B, rating: 16 A, breaking-capacity: 6 kA}
    cable: {line: 2.5 mm², cpc: 1.5 mm², wiring-type: A, method: C}
    points:
      - {id: capstan, label: capstan, kind: socket, plug-in: true, length: 12 m}
      - {id: s2, label: bollard, kind: socket, plug-in: true, length: 9 m}
    takeout:
      - the capstan
  - id: lighting-1
    number: "2"
    description: slip lights
    shape: lighting
    section: section-a
    device: {standard: BS EN 60898, curve: B, rating: 6 A, breaking-capacity: 6 kA}
    cable: {line: 1.5 mm², cpc: 1 mm², wiring-type: A, method: C}
    points:
      - {id: l1, label: lamp on the slip, kind: fitting, length: 11 m}
      - {id: sw1, label: switch by the gate, kind: switch, from: l1, length: 3 m}
    switches:
      - {id: gate, label: switch by the gate}
    takeout:
      - all lamps
    earths: metal fittings
`
	ownSequence = `sequence: slip-order
title: The slip rig, lights first
about: The whole board in an order of our own, with R2 by the long lead before R1+R2 on the radial.
incoming: either
stages:
  - stage: instrument
    title: The instrument
    steps:
      - include: instrument-check
  - stage: isolation
    title: Safe isolation
    steps:
      - include: safe-isolation
  - stage: inspection
    title: Visual inspection
    steps:
      - include: visual-inspection
  - stage: earthing
    title: Earthing
    steps:
      - include: earthing-bonding
  - stage: lights
    title: Lights, then the capstan
    steps:
      - each: circuit
        where: {shape: [lighting]}
        steps:
          - include: lighting-circuit
      - each: circuit
        where: {shape: [radial]}
        steps:
          - include: continuity-long-lead
            as: method-2
          - include: radial-final
  - stage: origin
    title: The origin
    steps:
      - include: origin-measured
        when: [measured, upstream]
      - include: close-board
        unless: [measured]
      - include: origin-declared
        when: declared
  - stage: live
    title: Live
    steps:
      - gate: installation
      - include: circuits-live
      - include: rcd-required
      - include: functional
  - stage: finish
    title: Hand back
    steps:
      - include: finish
`
)

// TestOwnContent writes a sequence and a rig into a folder, works them through with
// the program, and finds them on the schedule.
func TestOwnContent(t *testing.T) {
	t.Parallel()
	w := newWorld(t)
	w.write("mine/rigs/slip-rig.yaml", ownRig)
	w.write("mine/slip-order.yaml", ownSequence)
	p := play(t, w.path("mine"), "slip-order", "slip-rig", "")
	p.finish()
	w.write("answers.yaml", p.file("", ""))
	w.run(nil, "practise", "--content", "mine", "--answers", "answers.yaml", "--journal", "out.jsonl").must(t, 0)
	list, closed := turns(t, w.path("out.jsonl"))
	if closed != "complete" {
		t.Errorf("the record is closed %q, want complete", closed)
	}
	inOrder(t, list, "lighting-1/continuity/l1", "radial-1/method-2/long-lead", "radial-1/continuity")

	// The record holds the content it was made with: the folder may go.
	r := w.run(nil, "report", "out.jsonl", "--json").must(t, 0)
	if !strings.Contains(r.out, "TB9") {
		t.Error("the schedule does not name the board")
	}
	s := schedule(t, r.out)
	state := map[string]string{}
	for _, got := range allReadings(s) {
		state[got.ID] = got.State
	}
	for _, id := range []string{"radial-1/continuity/capstan", "radial-1/method-2/long-lead/capstan", "radial-1/zs/s2"} {
		if state[id] != report.Measured {
			t.Errorf("the schedule has %s as %q, want measured", id, state[id])
		}
	}
	w.run(nil, "verify", "out.jsonl").must(t, 0)
}

// inOrder: the events are all there, in this order.
func inOrder(t *testing.T, list []turn, ids ...string) {
	t.Helper()
	n := 0
	for _, u := range list {
		if n < len(ids) && u.At == ids[n] {
			n++
		}
	}
	if n < len(ids) {
		t.Errorf("%s does not come after what stands before it in %v", ids[n], ids)
	}
}

// TestInsulationBeforeContinuityIsRefused: the same sequence with the long-lead test
// moved behind the insulation test of its circuit is not worked with.
func TestInsulationBeforeContinuityIsRefused(t *testing.T) {
	moved := strings.Replace(ownSequence, `          - include: continuity-long-lead
            as: method-2
          - include: radial-final
`, `          - include: radial-final
          - include: continuity-long-lead
            as: method-2
`, 1)
	if moved == ownSequence {
		t.Fatal("nothing was moved")
	}
	w := newWorld(t)
	w.write("mine/rigs/slip-rig.yaml", ownRig)
	w.write("mine/slip-order.yaml", ownSequence)
	w.run(nil, "lint", "--content", "mine", "--rig", "slip-rig", "slip-order").must(t, 0)
	w.write("mine/slip-order.yaml", moved)
	r := w.run(nil, "lint", "--content", "mine", "--rig", "slip-rig", "slip-order").must(t, 1)
	if !strings.Contains(r.out, "continuity-before-insulation") && !strings.Contains(r.out, "insulation") {
		t.Errorf("lint does not say what stands in the wrong order: %s", r.out)
	}
	r = w.run(nil, "practise", "--content", "mine", "--rig", "slip-rig", "--sequence", "slip-order", "--journal", "out.jsonl").must(t, 2)
	if !strings.Contains(r.err, "insulation") {
		t.Errorf("the refusal does not say why: %s", r.err)
	}
}
