package doors

import (
	"encoding/json"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// What systems print, read. Words of a system may be in any language where it is not said
// that they are asked for in English: then only numbers are read.

// pmsetBattery reads what `pmset -g batt` prints on macOS.
func pmsetBattery(text string) (Power, bool) {
	p := Power{Battery: -1}
	if !strings.Contains(text, "drawing from") {
		return p, false
	}
	p.Mains = strings.Contains(text, "'AC Power'")
	if m := regexp.MustCompile(`(\d{1,3})%`).FindStringSubmatch(text); m != nil {
		n, _ := strconv.Atoi(m[1])
		p.Battery = float64(min(n, 100)) / 100
	}
	return p, true
}

// pmsetSleep reads what `pmset -g` prints: minutes, 0 for never, and who prevents it.
func pmsetSleep(text string) (Sleep, bool) {
	var s Sleep
	known := false
	for line := range strings.Lines(text) {
		f := strings.Fields(line)
		if len(f) < 2 || f[0] != "sleep" && f[0] != "displaysleep" {
			continue
		}
		n, err := strconv.Atoi(f[1])
		if err != nil || n < 0 || n > 1e6 {
			continue
		}
		_, by, prevented := strings.Cut(line, "prevented by ")
		by = strings.TrimRight(strings.TrimSpace(by), ")")
		if f[0] == "displaysleep" {
			if !prevented {
				s.Screen = time.Duration(n) * time.Minute
			}
			continue
		}
		known = true
		if !prevented {
			s.After = time.Duration(n) * time.Minute
		} else if s.AwakeBy == "" && n > 0 {
			s.AwakeBy = by
		}
	}
	if s.Screen > 0 {
		s.AwakeBy = "" // the screen goes dark all the same
	}
	return s, known
}

// profiledSound reads what `system_profiler SPAudioDataType -json` prints.
func profiledSound(text string) (Sound, bool) {
	var all struct {
		Audio []struct {
			Items []struct {
				Name      string `json:"_name"`
				Default   string `json:"coreaudio_default_audio_output_device"`
				Transport string `json:"coreaudio_device_transport"`
			} `json:"_items"`
		} `json:"SPAudioDataType"`
	}
	if json.Unmarshal([]byte(text), &all) != nil {
		return Sound{}, false
	}
	for _, a := range all.Audio {
		for _, i := range a.Items {
			if i.Default == "spaudio_yes" {
				return Sound{Name: i.Name, Projector: byPicture(i.Transport + " " + i.Name), Volume: -1}, true
			}
		}
	}
	return Sound{}, false
}

// byPicture tells by the words of a device whether its sound goes with a picture.
func byPicture(words string) bool {
	words = strings.ToLower(strings.NewReplacer(" ", "", "-", "", "_", "").Replace(words))
	return strings.Contains(words, "hdmi") || strings.Contains(words, "displayport") || strings.Contains(words, "projector")
}

var pactlVolume = regexp.MustCompile(`(\d+)%`)

// pactlSink finds a sink in what `LC_ALL=C pactl list sinks` prints.
func pactlSink(text, name string) (Sound, bool) {
	name = strings.TrimSpace(name)
	for block := range strings.SplitSeq("\n"+text, "\nSink #") {
		values := map[string]string{}
		for line := range strings.Lines(block) {
			key, value, ok := strings.Cut(strings.TrimSpace(line), ":")
			if ok && values[key] == "" {
				values[key] = strings.TrimSpace(value)
			}
		}
		if name == "" || values["Name"] != name {
			continue
		}
		s := Sound{Device: name, Name: values["Description"], Muted: values["Mute"] == "yes", Volume: -1}
		if s.Name == "" {
			s.Name = name
		}
		s.Projector = byPicture(name + " " + values["Active Port"])
		if m := pactlVolume.FindStringSubmatch(values["Volume"]); m != nil {
			n, _ := strconv.Atoi(m[1])
			s.Volume = float64(n) / 100
		}
		return s, true
	}
	return Sound{}, false
}

// inhibited finds who keeps the machine awake in what `systemd-inhibit --list
// --no-legend` prints: WHO, UID, USER, PID, COMM, WHAT, WHY, MODE. It is held only when
// sleep or idling is blocked, not delayed.
func inhibited(text string) string {
	for line := range strings.Lines(text) {
		f := strings.Fields(line)
		if len(f) < 6 || f[len(f)-1] != "block" {
			continue
		}
		for _, word := range f {
			for part := range strings.SplitSeq(word, ":") {
				if part == "sleep" || part == "idle" {
					return f[0]
				}
			}
		}
	}
	return ""
}

// gsettingsNumber reads "uint32 300" or "900".
func gsettingsNumber(text string) (int, bool) {
	f := strings.Fields(text)
	if len(f) == 0 {
		return 0, false
	}
	n, err := strconv.Atoi(f[len(f)-1])
	return n, err == nil && n >= 0 && n < 1e8
}

// desktopSleep reads three settings of a desktop: what happens on mains when nobody
// touches it, after how many seconds, and after how many the screen goes dark.
func desktopSleep(kind, after, idle string) (Sleep, bool) {
	seconds, ok := gsettingsNumber(after)
	screen, known := gsettingsNumber(idle)
	if kind = strings.Trim(strings.TrimSpace(kind), "'"); kind == "" || !ok || !known {
		return Sleep{}, false
	}
	var s Sleep
	if kind != "nothing" {
		s.After = time.Duration(seconds) * time.Second
	}
	s.Screen = time.Duration(screen) * time.Second
	return s, true
}

var hexadecimal = regexp.MustCompile(`0x([0-9a-fA-F]{1,8})`)

// powercfgSeconds reads what `powercfg /query SCHEME SUB SETTING` prints: of its
// hexadecimal numbers the last but one is the setting on mains, in seconds; 0 is never.
func powercfgSeconds(text string) (time.Duration, bool) {
	all := hexadecimal.FindAllStringSubmatch(text, -1)
	if len(all) < 2 {
		return 0, false
	}
	n, err := strconv.ParseUint(all[len(all)-2][1], 16, 32)
	return time.Duration(n) * time.Second, err == nil
}

var leap = regexp.MustCompile(`^[^:\n]*:\s*([0-3])\(`)

// w32tmSynced reads the first line of `w32tm /query /status`: the leap indicator of NTP
// (RFC 5905, 7.3), of which 3 is an unsynchronised clock.
func w32tmSynced(text string) (Clock, bool) {
	m := leap.FindStringSubmatch(strings.TrimSpace(text))
	if m == nil {
		return Clock{}, false
	}
	return Clock{Known: true, Synced: m[1] != "3"}, true
}

// brightness reads a number of per cent, the first of a text.
func brightness(text string) (float64, bool) {
	f := strings.Fields(text)
	if len(f) == 0 {
		return 0, false
	}
	n, err := strconv.Atoi(f[0])
	if err != nil || n < 0 || n > 100 {
		return 0, false
	}
	return float64(n) / 100, true
}
