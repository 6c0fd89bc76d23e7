package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"text/template"

	"github.com/spf13/cobra"
)

const serviceHelp = `Print a unit of systemd that runs the show when the machine starts, and again, from
where it was, when it ends by a fault or when no frame leaves for ten seconds.

  lampblack service my-show -o /etc/systemd/system/my-show.service
  systemctl daemon-reload
  systemctl enable --now my-show

Options of the run follow after two dashes:

  lampblack service my-show -- --outputs "e131 multicast" --metrics 127.0.0.1:9512

The unit gives the program nothing but its folder to read, a place for its journal and
its keys, sound and serial devices, and the network.`

func serviceCmd() *cobra.Command {
	var out, program string
	c := &cobra.Command{
		Use:   "service DIR [-- options of run]",
		Short: "print a unit of systemd that runs the show when the machine starts",
		Long:  serviceHelp,
		Args: func(c *cobra.Command, args []string) error {
			if len(args) > 0 && c.ArgsLenAtDash() > 0 {
				args = args[:c.ArgsLenAtDash()]
			}
			return dirArg(c, args)
		},
		RunE: func(c *cobra.Command, args []string) error {
			dir, err := filepath.Abs(args[0])
			if err != nil {
				return err
			}
			if _, err := os.Stat(dir); err != nil {
				return fmt.Errorf("the show of the unit: %w", err)
			}
			if program == "" {
				if program, err = os.Executable(); err != nil {
					return err
				}
			}
			name := strings.Map(safeName, filepath.Base(dir))
			text, err := unitText(serviceUnit{Show: "the show in " + strings.ReplaceAll(dir, "\n", " "), Name: name, Program: program, Dir: dir, Options: args[1:]})
			if err != nil {
				return err
			}
			return put(c, out, []byte(text))
		},
	}
	c.Flags().StringVarP(&out, "output", "o", "", "the file to write (standard output if absent)")
	c.Flags().StringVar(&program, "program", "", "where the program lies, when not this one")
	return c
}

// serviceUnit is what differs between units.
type serviceUnit struct {
	Show         string // for people
	Name         string // of its journal and state
	Program, Dir string
	Options      []string
	Instance     bool // a template, whose instances are named by %i
}

// safeName leaves letters, digits, dashes and underscores of a name.
func safeName(r rune) rune {
	switch {
	case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9', r == '-', r == '_':
		return r
	}
	return '-'
}

// quoted writes an argument of ExecStart= (systemd.service(5), "Command lines"): in quotes,
// with percent and dollar signs doubled.
func quoted(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "%", "%%", "$", "$$", "\n", `\n`, "\t", `\t`).Replace(s) + `"`
}

// unitText writes a unit.
func unitText(u serviceUnit) (string, error) {
	var b strings.Builder
	err := unitForm.Execute(&b, u)
	return b.String(), err
}

// unitForm is the unit. What is taken from the program is what systemd.exec(5) offers and it
// does not need; AF_NETLINK lets it see the interfaces come and go.
var unitForm = template.Must(template.New("unit").Funcs(template.FuncMap{"quoted": quoted}).Parse(`# Runs {{.Show}} when the machine starts, and again, from
# where it was, when it ends by a fault or when no frame leaves for ten seconds. A
# stop (systemctl stop) brings the lights up and ends the streams, as on the
# terminal. The lights of a show are not emergency lighting.
[Unit]
Description=Light show {{.Name}}
After=network-online.target sound.target
Wants=network-online.target

[Service]
# Ready with the first frame; the status line is that of the terminal.
Type=notify
NotifyAccess=all
WatchdogSec=10s
TimeoutStartSec=5min
TimeoutStopSec=10s
Restart=on-failure
RestartSec=1s
ExecStart={{if .Instance}}{{.Program}} run {{.Dir}}{{else}}{{quoted .Program}} run {{quoted .Dir}}{{end}} --journal /var/log/lampblack/{{.Name}}.jsonl --resume{{range .Options}} {{quoted .}}{{end}}
DynamicUser=yes
SupplementaryGroups=audio dialout
LogsDirectory=lampblack
StateDirectory=lampblack
CacheDirectory=lampblack
Environment=LAMPBLACK_CACHE=/var/cache/lampblack

# Frames are small and must be in time.
Nice=-10
LimitRTPRIO=50
LimitNICE=-20

# Nothing else is given to it.
NoNewPrivileges=yes
CapabilityBoundingSet=
ProtectSystem=strict
ProtectHome=read-only
PrivateTmp=yes
ProtectKernelTunables=yes
ProtectKernelModules=yes
ProtectKernelLogs=yes
ProtectControlGroups=yes
ProtectClock=yes
ProtectHostname=yes
ProtectProc=invisible
RestrictAddressFamilies=AF_UNIX AF_INET AF_INET6 AF_NETLINK
RestrictNamespaces=yes
RestrictSUIDSGID=yes
LockPersonality=yes
MemoryDenyWriteExecute=yes
SystemCallArchitectures=native
SystemCallFilter=@system-service
UMask=0077

[Install]
WantedBy=multi-user.target
`))
