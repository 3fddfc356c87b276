package app

import (
	"cmp"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"
)

// oneRecord holds a command to one record. Whoever names none is told which were written last.
func (a *app) oneRecord(_ *cobra.Command, args []string) error {
	switch {
	case len(args) == 1:
		return nil
	case len(args) > 1:
		return fail(ExitUsage, fmt.Errorf("found %d records, wanted one", len(args)))
	}
	hint := "name the file of a record"
	if last := lastRecords(a.sys.recordsDir(), 3); len(last) > 0 {
		hint += "; the last ones: " + strings.Join(last, ", ")
	}
	return fail(ExitUsage, errors.New("no record is named"), hint)
}

// lastRecords are the records of a folder that were written to last, the latest first.
func lastRecords(dir string, most int) []string {
	paths, err := filepath.Glob(filepath.Join(dir, "*.jsonl"))
	if err != nil {
		return nil
	}
	when := map[string]int64{}
	paths = slices.DeleteFunc(paths, func(p string) bool {
		info, err := os.Lstat(p)
		if err != nil || !info.Mode().IsRegular() {
			return true
		}
		when[p] = info.ModTime().UnixNano()
		return false
	})
	slices.SortStableFunc(paths, func(x, y string) int { return cmp.Compare(when[y], when[x]) })
	return paths[:min(most, len(paths))]
}
