package archive_test

import (
	"bytes"
	"strings"
	"testing"

	"lampblack/wire/archive"
)

func TestRoundTrip(t *testing.T) {
	w := archive.NewWriter([]byte("before"))
	w.Open("a", "b", `<&">`)
	w.Text("c", "x & y")
	w.Empty("d")
	w.Close("a")
	packed, err := archive.Pack([]byte("before"), []archive.File{{Name: "a.xml", Content: w.Bytes()[6:]}, {Name: "b.bin", Content: []byte("other")}})
	if err != nil {
		t.Fatal(err)
	}
	again, _ := archive.Pack(nil, []archive.File{{Name: "a.xml", Content: w.Bytes()[6:]}, {Name: "b.bin", Content: []byte("other")}})
	if !bytes.Equal(packed, append([]byte("before"), again...)) && len(packed) != len(again)+6 {
		t.Error("the same content gave other bytes")
	}
	files, others, err := archive.Unpack(again, func(name string) bool { return name == "a.xml" }, 1000)
	if err != nil || len(others) != 1 || others[0] != "b.bin" {
		t.Fatalf("got %v, %v, %v", files, others, err)
	}
	n, err := archive.Parse(files["a.xml"], 10)
	if err != nil {
		t.Fatal(err)
	}
	if n.Name != "a" || n.Get("b") != `<&">` || n.Child("c").Text() != "x & y" || n.Child("d").Line != 4 || n.Child("e") != nil || n.Get("z") != "" {
		t.Errorf("got %+v", n)
	}
}

// All wanted files together may have so many octets.
func TestUnpackLimit(t *testing.T) {
	b, err := archive.Pack(nil, []archive.File{{Name: "a", Content: make([]byte, 60)}, {Name: "b", Content: make([]byte, 60)}})
	if err != nil {
		t.Fatal(err)
	}
	all := func(string) bool { return true }
	if _, _, err := archive.Unpack(b, all, 120); err != nil {
		t.Error(err)
	}
	if _, _, err := archive.Unpack(b, all, 119); err == nil || !strings.Contains(err.Error(), `file "b": got more than 59 octets`) {
		t.Errorf("error %v", err)
	}
}

func TestLimits(t *testing.T) {
	for _, c := range []struct{ text, says string }{
		{"<a>" + strings.Repeat("<b/>", 30) + "</a>", "tags"},
		{"<a " + strings.Repeat("b='' ", 90) + "/>", "attributes"},
		{strings.Repeat(" ", archive.MostText+1), "octets"},
		{"<!DOCTYPE a><a/>", "document type"},
		{"<a/><b/>", "2 elements at the top"},
	} {
		if _, err := archive.Parse([]byte(c.text), 10); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%.30s: %v, want %q", c.text, err, c.says)
		}
	}
	n, err := archive.Parse([]byte("<?xml version='1.0' encoding='ISO-8859-1'?><a>\xe4</a>"), 10)
	if err != nil || n.Text() != "ä" {
		t.Errorf("got %v, %v", n, err)
	}
}
