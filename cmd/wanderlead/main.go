// Command wanderlead coaches someone new to inspection and testing through dead and
// live tests on a practice rig.
package main

import (
	"os"

	"wanderlead/internal/app"
)

func main() { os.Exit(app.Main(os.Args[1:], app.System())) }
