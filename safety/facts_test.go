package safety

import (
	"bytes"
	"reflect"
	"testing"
)

// Every field changes the bytes: what a walk takes for the same state is the same.
func TestFactsAppendTo(t *testing.T) {
	seen := map[string]string{string(Facts{}.AppendTo(nil)): "none"}
	typ := reflect.TypeOf(Facts{})
	for i := range typ.NumField() {
		var f Facts
		v := reflect.ValueOf(&f).Elem().Field(i)
		switch v.Kind() {
		case reflect.Bool:
			v.SetBool(true)
		case reflect.Int16:
			v.SetInt(1 << 9)
		default:
			v.SetUint(1)
		}
		key := string(f.AppendTo(nil))
		if other := seen[key]; other != "" {
			t.Errorf("%s and %s give the same bytes", typ.Field(i).Name, other)
		}
		seen[key] = typ.Field(i).Name
		if !bytes.HasPrefix(f.AppendTo([]byte("x")), []byte("x")) {
			t.Error("what was there before is gone")
		}
	}
}
