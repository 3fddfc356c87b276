package content

import "testing"

func TestComplaintKeepsPlaceAndSource(t *testing.T) {
	r := NewReader("f.yaml", []byte("a: 1\nb: [x, y]\n"))
	v := r.Root().Field("b").List()[1]
	e := v.Complaint("write z", "%s is not z", v.Str())
	want := "f.yaml:2:8: y is not z\n  b: [x, y]\n         ^\nhint: write z"
	if e.Error() != want {
		t.Errorf("got\n%s\nwant\n%s", e.Error(), want)
	}
	if r.Err() != nil {
		t.Errorf("the complaint was added to the file: %v", r.Err())
	}
	if e := (Value{}).Complaint("", "lost"); e.Error() != ": lost" || e.Line != 0 {
		t.Errorf("a value from nowhere: %q", e.Error())
	}
}

func TestSortedDropsTwins(t *testing.T) {
	a, b := &Error{File: "a", Line: 2, Col: 1, Message: "m"}, &Error{File: "a", Line: 1, Col: 9, Message: "m"}
	twin := &Error{File: "a", Line: 2, Col: 1, Message: "m"}
	if got := Sorted(Errors{a, b, twin}); len(got) != 2 || got[0] != b || got[1] != a {
		t.Errorf("got %v", got)
	}
}
