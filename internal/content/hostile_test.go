package content_test

import (
	"testing"

	"wanderlead/internal/content"
	"wanderlead/internal/hostile"
)

func TestHostileFiles(t *testing.T) {
	hostile.Each(t, func(data []byte) error {
		r := content.NewReader("f.yaml", data)
		m := r.Root().Map("file", "title", "limit", "x")
		_, _ = m.OptStr("title", ""), m.OptInt("limit", 0)
		for _, v := range m.OptList("x") {
			_ = v.Str()
		}
		return r.Err()
	})
}
