package walk_test

import (
	"wanderlead/internal/rig"
	"wanderlead/internal/sequence"
	"wanderlead/internal/walk"
)

func observer(*rig.Rig, string, sequence.Origin) walk.Observer { return nil }
