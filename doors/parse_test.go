package doors

import (
	"testing"
	"time"
)

// What the systems print, from memory where nothing else is said.

func TestPmset(t *testing.T) {
	for text, want := range map[string]Power{
		"Now drawing from 'AC Power'\n -InternalBattery-0 (id=4653155)\t100%; charged; 0:00 remaining present: true\n":         {true, 1},
		"Now drawing from 'Battery Power'\n -InternalBattery-0 (id=4653155)\t43%; discharging; 2:41 remaining present: true\n": {false, 0.43},
		"Now drawing from 'AC Power'\n": {true, -1},
	} {
		if p, ok := pmsetBattery(text); !ok || p != want {
			t.Errorf("%q: %+v %v", text, p, ok)
		}
	}
	if _, ok := pmsetBattery("pmset: usage"); ok {
		t.Error("anything is an answer")
	}
	for text, want := range map[string]Sleep{
		"System-wide power settings:\nCurrently in use:\n standby              1\n sleep                1\n displaysleep         10\n":                           {After: time.Minute, Screen: 10 * time.Minute},
		"Currently in use:\n sleep                1 (sleep prevented by caffeinate, powerd)\n displaysleep         10 (display sleep prevented by caffeinate)\n": {AwakeBy: "caffeinate, powerd"},
		"Currently in use:\n sleep                1 (sleep prevented by coreaudiod)\n displaysleep         10\n":                                                 {Screen: 10 * time.Minute},
		"Currently in use:\n sleep                0\n displaysleep         0\n":                                                                                  {},
	} {
		if s, ok := pmsetSleep(text); !ok || s != want {
			t.Errorf("%q: %+v %v", text, s, ok)
		}
	}
	if _, ok := pmsetSleep(" hibernatemode 3\n"); ok {
		t.Error("no line of sleep, and an answer")
	}
}

func TestSystemProfiler(t *testing.T) {
	text := `{"SPAudioDataType":[{"_items":[
	 {"_name":"HALL BEAMER","coreaudio_device_transport":"coreaudio_device_type_hdmi","coreaudio_default_audio_output_device":"spaudio_yes"},
	 {"_name":"MacBook Pro Speakers","coreaudio_device_transport":"coreaudio_device_type_builtin"}],"_name":"coreaudio_device"}]}`
	if s, ok := profiledSound(text); !ok || !s.Projector || s.Name != "HALL BEAMER" {
		t.Errorf("%+v %v", s, ok)
	}
	if _, ok := profiledSound(`{"SPAudioDataType":[]}`); ok {
		t.Error("no device, and an answer")
	}
}

// As `pactl list sinks` prints in English, shortened; from memory.
const sinks = `Sink #51
	State: SUSPENDED
	Name: alsa_output.pci-0000_00_1f.3.hdmi-stereo
	Description: Built-in Audio Digital Stereo (HDMI)
	Mute: no
	Volume: front-left: 65536 / 100% / 0.00 dB,   front-right: 65536 / 100% / 0.00 dB
	        balance 0.00
	Active Port: hdmi-output-0

Sink #52
	State: RUNNING
	Name: alsa_output.usb-interface.analog-stereo
	Description: USB interface
	Mute: yes
	Volume: front-left: 39321 /  60% / -13.31 dB,   front-right: 39321 /  60% / -13.31 dB
	Ports:
		analog-output: Analog Output (type: Analog, priority: 9900)
	Active Port: analog-output
`

func TestPactl(t *testing.T) {
	if s, ok := pactlSink(sinks, "alsa_output.pci-0000_00_1f.3.hdmi-stereo\n"); !ok || s != (Sound{"alsa_output.pci-0000_00_1f.3.hdmi-stereo", "Built-in Audio Digital Stereo (HDMI)", "", true, false, 1}) {
		t.Errorf("%+v %v", s, ok)
	}
	if s, ok := pactlSink(sinks, "alsa_output.usb-interface.analog-stereo"); !ok || s != (Sound{"alsa_output.usb-interface.analog-stereo", "USB interface", "", false, true, 0.6}) {
		t.Errorf("%+v %v", s, ok)
	}
	if _, ok := pactlSink(sinks, "none"); ok {
		t.Error("a sink that is not there")
	}
}

func TestInhibited(t *testing.T) {
	for text, want := range map[string]string{
		"NetworkManager 0 root 612 NetworkManager sleep NetworkManager needs to turn off networks delay\n":                                                         "",
		"UPower 0 root 700 upowerd sleep Pause device polling delay\nlampblack 1000 anna 4242 systemd-inhibit idle:sleep:handle-lid-switch Unknown reason block\n": "lampblack",
		"gdm 0 root 1 gsd-power handle-lid-switch Multiple displays attached block\n":                                                                              "",
		"": "",
	} {
		if got := inhibited(text); got != want {
			t.Errorf("%q: %q", text, got)
		}
	}
}

func TestDesktop(t *testing.T) {
	if s, ok := desktopSleep("'suspend'\n", "900\n", "uint32 300\n"); !ok || s != (Sleep{After: 15 * time.Minute, Screen: 5 * time.Minute}) {
		t.Errorf("%+v %v", s, ok)
	}
	if s, ok := desktopSleep("'nothing'", "0", "uint32 0"); !ok || s != (Sleep{}) {
		t.Errorf("%+v %v", s, ok)
	}
	if _, ok := desktopSleep("", "900", "uint32 300"); ok {
		t.Error("no setting, and an answer")
	}
}

func TestWindows(t *testing.T) {
	german := `    Möglicher Einstellungsindex (Maximum): 0xffffffff
    Einheiten: Sekunden
  Index der aktuellen Wechselstromeinstellung: 0x00000708
  Index der aktuellen Gleichstromeinstellung: 0x00000384
`
	if d, ok := powercfgSeconds(german); !ok || d != 30*time.Minute {
		t.Errorf("%v %v", d, ok)
	}
	if _, ok := powercfgSeconds("Invalid Parameters"); ok {
		t.Error("no numbers, and an answer")
	}
	for text, want := range map[string]Clock{
		"Leap Indicator: 0(no warning)\nStratum: 4 (secondary reference)\n":            {true, true},
		"Sprungindikator: 3(nicht synchronisiert)\r\nStratum: 0 (nicht angegeben)\r\n": {true, false},
	} {
		if c, ok := w32tmSynced(text); !ok || c != want {
			t.Errorf("%q: %+v %v", text, c, ok)
		}
	}
	if _, ok := w32tmSynced("The service has not been started. (0x80070426)"); ok {
		t.Error("a service that does not run, and an answer")
	}
	if b, ok := brightness("35\r\n"); !ok || b != 0.35 {
		t.Errorf("%v %v", b, ok)
	}
	if _, ok := brightness("Get-CimInstance : not supported"); ok {
		t.Error("an error, and an answer")
	}
}

// Whatever a program prints, it is read or refused.
func FuzzParse(f *testing.F) {
	f.Add(sinks, "x")
	f.Add("Currently in use:\n sleep 1 (sleep prevented by x)\n displaysleep 10\n", "'AC Power' 43%")
	f.Fuzz(func(t *testing.T, a, b string) {
		pmsetSleep(a)
		profiledSound(a)
		pactlSink(a, b)
		inhibited(a)
		desktopSleep(a, b, a)
		w32tmSynced(a)
		if p, ok := pmsetBattery(b); ok && (p.Battery > 1) {
			t.Error(p)
		}
		if d, ok := powercfgSeconds(a); ok && d < 0 {
			t.Error(d)
		}
		if v, ok := brightness(b); ok && (v < 0 || v > 1) {
			t.Error(v)
		}
	})
}
