package checker_test

import (
	"os/exec"
	"strings"
	"testing"
)

// The checker is for tests, and knows nothing of the rules it checks.
func TestIndependence(t *testing.T) {
	list := func(args ...string) string {
		out, err := exec.Command("go", append([]string{"list"}, args...)...).Output()
		if err != nil {
			t.Fatal("go list: ", err)
		}
		return string(out)
	}
	// A record is read through package journal, which opens its file through package own, which takes out of a text what acts on a
	// terminal by package plain; these know files and letters and nothing of sessions.
	may := map[string]bool{"wanderlead/internal/checker": true, "wanderlead/internal/journal": true, "wanderlead/internal/own": true,
		"wanderlead/internal/plain": true}
	for _, p := range strings.Fields(list("-deps", ".")) {
		if strings.HasPrefix(p, "wanderlead/") && !may[p] {
			t.Errorf("the checker depends on %s", p)
		}
	}
	const told = "wanderlead/internal/checker/told" // hands it a rig, in tests
	for _, line := range strings.Split(list("-f", `{{.ImportPath}} {{join .Imports " "}}`, "wanderlead/..."), "\n") {
		who, imports, _ := strings.Cut(line, " ")
		if who != told && strings.Contains(" "+imports+" ", " wanderlead/internal/checker ") || strings.Contains(" "+imports+" ", " "+told+" ") {
			t.Errorf("%s uses the checker outside a test", who)
		}
	}
}
