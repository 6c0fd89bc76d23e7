package source

import "testing"

// A value takes the place of another, whatever stood there, and no other byte changes.
func TestPut(t *testing.T) {
	for text, want := range map[string]string{
		"m:\n  k: [1, 2]   # x\n  l: 2\n":              "m:\n  k: [9]   # x\n  l: 2\n",
		"m:\n  k:   # x\n    - 1\n    - 2\n\n  l: 2\n": "m:\n  k: [9]   # x\n\n  l: 2\n",
		"m:\n  k:\n  - 1\n  l: 2\n":                    "m:\n  k: [9]\n  l: 2\n",
		"m:\r\n  k:\r\n    a: 1\r\n  l: 2\r\n":         "m:\r\n  k: [9]\r\n  l: 2\r\n",
		"m: {k: {a: 1}, l: 2}\n":                       "m: {k: [9], l: 2}\n",
		"m: {\"k\": 7, l: 2}\n":                        "m: {\"k\": [9], l: 2}\n",
		"m: {l: 2}  # x\n":                             "m: {l: 2, k: [9]}  # x\n",
		"m:\n  l: 2\n":                                 "m:\n  k: [9]\n  l: 2\n",
		"m:\n  \"k\":\n    - 1\n":                      "m:\n  \"k\": [9]\n",
	} {
		x, faults := OpenText("f", []byte(text))
		if faults.Err() != nil {
			t.Fatal(faults)
		}
		if err := x.Put("k", "[9]", "m"); err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		if out, err := x.Bytes(); err != nil || string(out) != want {
			t.Errorf("%q became %q, %v; want %q", text, out, err, want)
		}
	}
	x, _ := OpenText("f", []byte("a: 1\nm:\n  ? k\n  : - 1\n    - 2\n"))
	if x.Put("k", "[9]", "a") == nil || x.Put("k", "[9]", "m") == nil {
		t.Error("put where it cannot be")
	}
	y, _ := OpenText("f", []byte("a: 1"))
	if err := y.AppendKey("m", "x: {y: 1}", "z: 2"); err != nil || y.AppendKey("a", "x: 1") == nil {
		t.Error(err)
	}
	if out, err := y.Bytes(); err != nil || string(out) != "a: 1\nm:\n  x: {y: 1}\n  z: 2\n" {
		t.Errorf("%q, %v", out, err)
	}
}
