package rdm_test

import (
	"strings"
	"testing"

	"lampblack/wire/artnet"
	"lampblack/wire/outside"
	"lampblack/wire/rdm"
)

// tshark reads RDM that Art-Net carries: the fields, and that the checksum is right.
func TestTsharkReadsRDM(t *testing.T) {
	to, from := rdm.UID{0x7A, 0x70, 0, 0, 0, 9}, rdm.UID{0x7F, 0xF0, 0, 0, 0, 1}
	info := rdm.Info{Protocol: 0x0100, Model: 0x1234, Category: 0x0101, Software: 0x0201, Footprint: 7, Mode: 2, Modes: 4, Address: 17, Sensors: 3}
	request := rdm.Packet{To: to, From: from, Transaction: 5, Port: 1, Class: rdm.Get, PID: rdm.DeviceInfoPID}
	reply := rdm.Packet{To: from, From: to, Transaction: 5, Class: rdm.GetReply, PID: rdm.DeviceInfoPID, Data: info.Append(nil)}
	var datagrams [][]byte
	for _, p := range []rdm.Packet{request, reply} {
		a := artnet.Rdm{PortAddress: 1, Packet: p.Append(nil)}
		datagrams = append(datagrams, a.Append(nil))
	}
	text := outside.Explain(t, artnet.Port, datagrams, "artnet,rdm")
	for _, want := range []string{"Device Info (0x0060)", "DMX Footprint: 7", "Start Address: 17", "[Checksum Status: Good]", "Sensor Count: 3", "Transaction number: 5"} {
		if !strings.Contains(strings.ToLower(text), strings.ToLower(want)) {
			t.Errorf("tshark does not say %q", want)
		}
	}
	if strings.Contains(text, "incorrect") || strings.Contains(text, "Malformed") {
		t.Error("tshark finds it wrong")
	}
}
