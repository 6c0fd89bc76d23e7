package trigger

// Keys turns what a terminal sends into the names of keys, as lines of triggers have
// them. The zero value is ready; it belongs to one goroutine.
type Keys struct{ held []byte }

// longestKey is more than any key of the table sends.
const longestKey = 8

// keySequences are what terminals send for the keys that are no characters: ECMA-48's
// CSI and SS3 with the finals of the VT220 and of xterm, and the Linux console's own for
// F1 to F5 (console_codes(4), terminfo(5)).
var keySequences = map[string]string{
	"\x1bOP": "f1", "\x1bOQ": "f2", "\x1bOR": "f3", "\x1bOS": "f4",
	"\x1b[11~": "f1", "\x1b[12~": "f2", "\x1b[13~": "f3", "\x1b[14~": "f4",
	"\x1b[[A": "f1", "\x1b[[B": "f2", "\x1b[[C": "f3", "\x1b[[D": "f4", "\x1b[[E": "f5",
	"\x1b[15~": "f5", "\x1b[17~": "f6", "\x1b[18~": "f7", "\x1b[19~": "f8", "\x1b[20~": "f9", "\x1b[21~": "f10", "\x1b[23~": "f11", "\x1b[24~": "f12",
	"\x1b[A": "up", "\x1b[B": "down", "\x1b[C": "right", "\x1b[D": "left", "\x1bOA": "up", "\x1bOB": "down", "\x1bOC": "right", "\x1bOD": "left",
	"\x1b[H": "home", "\x1b[F": "end", "\x1bOH": "home", "\x1bOF": "end", "\x1b[1~": "home", "\x1b[4~": "end", "\x1b[7~": "home", "\x1b[8~": "end",
	"\x1b[2~": "insert", "\x1b[3~": "delete", "\x1b[5~": "pageup", "\x1b[6~": "pagedown", "\t": "tab",
}

// Feed takes bytes as they come and calls key with every key that they complete. A
// character is a key of its own name. What is no key of the table is passed over as a
// whole: of escape alone nobody knows whether more comes, so it waits for the next.
func (k *Keys) Feed(b []byte, key func(name string)) {
	for _, c := range b {
		if c == escape || len(k.held) >= longestKey {
			k.held = k.held[:0]
		}
		k.held = append(k.held, c)
		name, known := keySequences[string(k.held)]
		switch {
		case known:
			key(name)
		case k.held[0] != escape:
			key(string(k.held))
		case !finished(k.held):
			continue
		}
		k.held = k.held[:0]
	}
}

const escape = 0x1b

// finished tells whether a sequence has had its last byte: after CSI that from @ to ~
// (ECMA-48, 5.4), but for the second bracket of the Linux console; after SS3 any.
func finished(held []byte) bool {
	last := held[len(held)-1]
	switch {
	case len(held) < 2:
		return false
	case held[1] == '[':
		return len(held) > 2 && last >= '@' && last <= '~' && !(len(held) == 3 && last == '[')
	case held[1] == 'O':
		return len(held) > 2
	}
	return true
}
