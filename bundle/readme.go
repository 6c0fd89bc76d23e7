package bundle

import (
	"fmt"
	"strings"
)

// readMe is what somebody reads who gets the file and knows nothing of it.
func readMe(c *Contents) string {
	var b strings.Builder
	base := slug(c.Title)
	fmt.Fprintf(&b, "%s\n\nThis is a whole light show: its texts, its sound, and what was heard in it. It was\npacked by %s, and needs no network.\n\n", strings.Join(strings.Fields(c.Title), " "), orUnknown(c.Program))
	if len(c.Programs) == 0 {
		b.WriteString("It needs the program Lampblack on this machine. In a terminal, where this file's\nfolder lies:\n\n")
		fmt.Fprintf(&b, "    lampblack check %s/%s\n    lampblack open %s/%s --run\n\n", base, showDir, base, showDir)
		b.WriteString("Lampblack also takes the zip file as it is, without its being unpacked.\n\n")
	} else {
		b.WriteString("The program is inside. Unpack the zip file, open a terminal (on Windows: the command\nprompt) in the folder into which it was unpacked, and type the line of this machine:\n\n")
		for _, p := range c.Programs {
			line := fmt.Sprintf("%s/%s/%s open %s/%s --run", base, programsDir, p.Name, base, showDir)
			if strings.HasPrefix(p.Name, "windows-") {
				line = strings.ReplaceAll(line, "/", `\`)
			}
			platform, _, _ := strings.Cut(strings.Replace(p.Name, "darwin", "macOS", 1), "/")
			fmt.Fprintf(&b, "    %s:\n        %s\n", platform, line)
		}
		b.WriteString("\namd64 is for processors of Intel and AMD, arm64 for those of ARM and Apple. A system\nmay ask whether a program from elsewhere is to be run at all: that is for whoever owns\nthe machine to say.\n\n")
	}
	b.WriteString("First it prints an address: a browser on the same machine shows the show there. Before\nlamps are plugged in: look at what the check says, and at the outputs in show.yaml.\n\n")
	fmt.Fprintf(&b, "Is it whole? On Linux and macOS, in the folder %s:\n\n    sha256sum -c %s      (on macOS: shasum -a 256 -c %s)\n\n", base, listFile, listFile)
	b.WriteString("Flashing light can provoke seizures, ultraviolet harms eyes, mains electricity, darkness\nand things overhead can kill. Lampblack computes and warns: local codes and licensed\npeople decide.\n")
	return b.String()
}

func orUnknown(program string) string {
	if program == "" {
		return "Lampblack"
	}
	return program
}
