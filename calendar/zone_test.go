package calendar

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"lampblack/play/clock"
)

// What the clocks of some places did, from the IANA time zone database (files europe,
// northamerica, australasia, southamerica, asia): the first instant at which each
// shows a time of day or a later one.
func TestReach(t *testing.T) {
	for _, c := range []struct{ zone, wall, want string }{
		{"Europe/Berlin", "2027-03-28 01:59", "2027-03-28T00:59:00Z"},
		{"Europe/Berlin", "2027-03-28 02:00", "2027-03-28T01:00:00Z"}, // EU: last Sunday in March, 1:00 UTC
		{"Europe/Berlin", "2027-03-28 02:30", "2027-03-28T01:00:00Z"},
		{"Europe/Berlin", "2027-03-28 03:00", "2027-03-28T01:00:00Z"},
		{"Europe/Berlin", "2027-03-28 03:01", "2027-03-28T01:01:00Z"},
		{"Europe/Berlin", "2027-10-31 02:30", "2027-10-31T00:30:00Z"}, // twice
		{"Europe/Berlin", "2027-10-31 03:00", "2027-10-31T02:00:00Z"},
		{"America/New_York", "2026-11-01 01:30", "2026-11-01T05:30:00Z"}, // US: first Sunday in November
		{"America/Phoenix", "2026-03-08 02:30", "2026-03-08T09:30:00Z"},  // no daylight saving
		{"Asia/Kolkata", "2026-03-29 02:30", "2026-03-28T21:00:00Z"},
		{"Australia/Lord_Howe", "2026-04-05 01:45", "2026-04-04T14:45:00Z"}, // twice; by half an hour, at 2:00 of summer time
		{"Australia/Lord_Howe", "2026-04-05 02:00", "2026-04-04T15:30:00Z"},
		{"Australia/Lord_Howe", "2026-10-04 02:15", "2026-10-03T15:30:00Z"},
		{"Australia/Sydney", "2026-10-04 02:30", "2026-10-03T16:00:00Z"},
		{"America/Santiago", "2026-09-06 00:30", "2026-09-06T04:00:00Z"}, // midnight is skipped
		{"Pacific/Apia", "2011-12-29 23:59", "2011-12-30T09:59:00Z"},
		{"Pacific/Apia", "2011-12-30 00:00", "2011-12-30T10:00:00Z"}, // the day that was skipped
		{"Pacific/Apia", "2011-12-30 12:00", "2011-12-30T10:00:00Z"},
		{"Pacific/Apia", "2011-12-31 00:00", "2011-12-30T10:00:00Z"},
		{"Pacific/Apia", "2011-12-31 00:01", "2011-12-30T10:01:00Z"},
		{"Europe/Berlin", "2040-12-31 12:00", "2040-12-31T11:00:00Z"}, // the 366th day of a year past the table
		{"Europe/Berlin", "2041-01-01 00:30", "2040-12-31T23:30:00Z"},
		{"America/New_York", "2044-12-31 20:00", "2045-01-01T01:00:00Z"},
		{"Pacific/Kwajalein", "1993-08-21 12:00", "1993-08-21T12:00:00Z"}, // skipped too: from -12 h to +12 h
	} {
		at, err := time.LoadLocation(c.zone)
		if err != nil {
			t.Fatal(err)
		}
		wall, err := time.Parse("2006-01-02 15:04", c.wall)
		if err != nil {
			t.Fatal(err)
		}
		if got := clock.Met(at, wall).UTC().Format(time.RFC3339); got != c.want {
			t.Errorf("%s %s: %s, want %s", c.zone, c.wall, got, c.want)
		}
	}
}

// naiveReach is python's: it looks at every minute of UTC, and keeps the first at which
// the clocks show the wall time or a later one. zoneinfo reads the database by itself.
const naiveReach = `
import json, sys
from datetime import datetime, timedelta, timezone
from zoneinfo import ZoneInfo
out = []
for zone, wall in json.load(sys.stdin):
    z, w = ZoneInfo(zone), datetime.fromisoformat(wall)
    t = w.replace(tzinfo=timezone.utc) - timedelta(hours=28)
    while t.astimezone(z).replace(tzinfo=None) < w:
        t += timedelta(minutes=1)
    out.append(t.strftime("%Y-%m-%dT%H:%M:00Z"))
json.dump(out, sys.stdout)`

// Python's zoneinfo comes to the same instants, near changes and far from them.
func TestReachBesidePython(t *testing.T) {
	if err := exec.Command("python3", "-c", "import zoneinfo; zoneinfo.ZoneInfo('Europe/Berlin')").Run(); err != nil {
		t.Skip("left out: python3 with time zones is not installed")
	}
	places := []string{"Europe/Berlin", "Europe/Dublin", "America/New_York", "America/St_Johns", "America/Santiago", "Australia/Lord_Howe", "Pacific/Chatham", "Pacific/Apia", "America/Phoenix", "Asia/Kathmandu", "Africa/Casablanca", "Asia/Gaza", "Antarctica/Troll", "Asia/Tehran"}
	n := 20
	if os.Getenv("LAMPBLACK_LONG") != "" {
		places, n = zones(), 3
	}
	r := rand.New(rand.NewPCG(1, 2))
	var asked [][2]string
	var got []string
	for _, name := range places {
		at, err := time.LoadLocation(name)
		if err != nil {
			t.Fatal(err)
		}
		for i := range n {
			u := time.Date(2005+r.IntN(40), 1, 1, 0, r.IntN(366*24*60), 0, 0, time.UTC).In(at)
			if _, offset := u.Zone(); offset%60 != 0 {
				continue
			}
			if _, end := u.ZoneBounds(); i%4 > 0 && !end.IsZero() {
				u = end.Add(time.Duration(r.IntN(8*60)-4*60) * time.Minute)
			}
			wall := shown(u).Truncate(time.Minute)
			asked = append(asked, [2]string{name, wall.Format("2006-01-02T15:04")})
			got = append(got, clock.Met(at, wall).UTC().Format(time.RFC3339))
		}
	}
	data, err := json.Marshal(asked)
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command("python3", "-c", naiveReach)
	c.Stdin, c.Stderr = bytes.NewReader(data), os.Stderr
	answer, err := c.Output()
	if err != nil {
		t.Fatal(err)
	}
	var want []string
	if err := json.Unmarshal(answer, &want); err != nil || len(want) != len(got) {
		t.Fatal(err, len(want))
	}
	wrong := 0
	for i := range got {
		if got[i] != want[i] {
			if wrong++; wrong < 20 {
				t.Errorf("%v: %s, python finds %s", asked[i], got[i], want[i])
			}
		}
	}
	t.Logf("%d times of day in %d zones, %d differ", len(got), len(places), wrong)
}

// Every name of the list is a zone, and the list is that of the compiler's own copy of
// the database.
func TestZones(t *testing.T) {
	all := zones()
	if !slices.IsSorted(all) || len(all) < 400 {
		t.Errorf("%d names", len(all))
	}
	for _, z := range all {
		if _, err := time.LoadLocation(z); err != nil {
			t.Error(err)
		}
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Skip("left out: the go command is not there")
	}
	r, err := zip.OpenReader(filepath.Join(strings.TrimSpace(string(root)), "lib/time/zoneinfo.zip"))
	if err != nil {
		t.Skip("left out: this Go came without zoneinfo.zip")
	}
	defer r.Close()
	for _, f := range r.File {
		if !strings.HasSuffix(f.Name, "/") && f.Name != "Factory" && !slices.Contains(all, f.Name) {
			t.Errorf("zones.txt lacks %s", f.Name)
		}
	}
}
