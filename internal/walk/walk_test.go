package walk_test

import (
	"os"
	"strings"
	"testing"

	"wanderlead/internal/sequence"
	"wanderlead/internal/walk"
)

func TestTry(t *testing.T) {
	h := load(t)
	cs := strings.Fields(os.Getenv("CIRCUITS"))
	r := h.rig(t, "training-bay", cs...)
	rep := walk.Run(h.setup(t, "whole-board", r, sequence.Measured), walk.Options{MaxStates: 400000})
	report(t, "x", rep)
}
