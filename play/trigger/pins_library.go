//go:build darwin || windows

package trigger

import "go.bug.st/serial"

// libraryPins asks the serial library.
type libraryPins struct{ serial.Port }

// openPins opens a serial device; DTR and RTS, from which a contact takes its voltage,
// are on from then on.
func openPins(name string) (pins, error) {
	on := &serial.ModemOutputBits{DTR: true, RTS: true}
	p, err := serial.Open(name, &serial.Mode{BaudRate: 9600, InitialStatusBits: on})
	if err != nil {
		return nil, err
	}
	return libraryPins{p}, nil
}

func (p libraryPins) Read() (on []string, err error) {
	bits, err := p.GetModemStatusBits()
	if err != nil {
		return nil, err
	}
	for name, is := range map[string]bool{"carrier": bits.DCD, "ring": bits.RI, "clear": bits.CTS, "ready": bits.DSR} {
		if is {
			on = append(on, name)
		}
	}
	return on, nil
}
