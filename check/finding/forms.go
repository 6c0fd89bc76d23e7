package finding

import (
	"encoding/json"
	"encoding/xml"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
)

// WriteJSON writes {"findings": [...]}.
func WriteJSON(w io.Writer, list []Finding) error {
	if list == nil {
		list = []Finding{}
	}
	return encode(w, map[string][]Finding{"findings": list})
}

// encode writes indented JSON. Signs like < stand as they are: the output is read by
// people and by jq, not put into a page.
func encode(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}

// The parts of a JUnit report that continuous-integration servers read. There
// is no standard; these names are those that its readers share.
type (
	junitSuites struct {
		XMLName  xml.Name   `xml:"testsuites"`
		Tests    int        `xml:"tests,attr"`
		Failures int        `xml:"failures,attr"`
		Suite    junitSuite `xml:"testsuite"`
	}
	junitSuite struct {
		Name     string      `xml:"name,attr"`
		Tests    int         `xml:"tests,attr"`
		Failures int         `xml:"failures,attr"`
		Errors   int         `xml:"errors,attr"`
		Cases    []junitCase `xml:"testcase"`
	}
	junitCase struct {
		Name    string        `xml:"name,attr"`
		Class   string        `xml:"classname,attr"`
		Failure *junitFailure `xml:"failure"`
		Output  string        `xml:"system-out,omitempty"`
	}
	junitFailure struct {
		Message string `xml:"message,attr"`
		Type    string `xml:"type,attr"`
		Text    string `xml:",chardata"`
	}
)

// WriteJUnit writes the findings as JUnit XML: a stop that nobody has signed is a
// failure; other findings pass with their text as output. A server turns red where a
// run would be held. With nothing found there is one case that passes, as some servers
// take an empty suite for a broken run.
func WriteJUnit(w io.Writer, list []Finding) error {
	suite := junitSuite{Name: "lampblack check"}
	for i := range list {
		f := &list[i]
		c := junitCase{Name: f.Key(), Class: "check." + f.ID}
		text := f.plain()
		if f.Severity == Stop && f.Signed == "" {
			suite.Failures++
			c.Failure = &junitFailure{Message: clean(f.Text), Type: string(f.Severity), Text: clean(text)}
		} else {
			c.Output = clean(string(f.Severity) + ": " + text)
		}
		c.Name = clean(c.Name)
		suite.Cases = append(suite.Cases, c)
	}
	if len(list) == 0 {
		suite.Cases = []junitCase{{Name: "no findings", Class: "check"}}
	}
	suite.Tests = len(suite.Cases)
	if _, err := io.WriteString(w, xml.Header); err != nil {
		return err
	}
	e := xml.NewEncoder(w)
	e.Indent("", "  ")
	if err := e.Encode(junitSuites{Tests: suite.Tests, Failures: suite.Failures, Suite: suite}); err != nil {
		return err
	}
	_, err := io.WriteString(w, "\n")
	return err
}

// clean drops what XML 1.0 cannot hold.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		if r == '\t' || r == '\n' || r >= 0x20 && r != 0xFFFE && r != 0xFFFF {
			return r
		}
		return -1
	}, s)
}

// plain is the finding in one paragraph. The parts stand in the order in which a person
// wants them: what, how much, where, when, and then what was assumed and what helps.
func (f *Finding) plain() string {
	s := f.Text
	if m := f.InWords(); m != "" {
		s += "; " + m
	}
	if f.Place != "" {
		s += "; at " + f.Place
	}
	if f.To > 0 {
		s += "; " + f.span()
	}
	for _, part := range [][2]string{{"assumed", f.Assumed}, {"try", f.Hint}, {"by", f.Source}, {"signed", f.Signed}} {
		if part[1] != "" {
			s += fmt.Sprintf("; %s: %s", part[0], part[1])
		}
	}
	return s
}

// The parts of SARIF 2.1.0 (OASIS, 2020) that are written.
type (
	sarifLog struct {
		Schema  string     `json:"$schema"`
		Version string     `json:"version"`
		Runs    []sarifRun `json:"runs"`
	}
	sarifRun struct {
		Tool    sarifTool     `json:"tool"`
		Results []sarifResult `json:"results"`
	}
	sarifTool struct {
		Driver sarifDriver `json:"driver"`
	}
	sarifDriver struct {
		Name  string      `json:"name"`
		Rules []sarifRule `json:"rules"`
	}
	sarifRule struct {
		ID   string    `json:"id"`
		Help sarifText `json:"shortDescription"`
	}
	sarifText struct {
		Text string `json:"text"`
	}
	sarifResult struct {
		Rule         string             `json:"ruleId"`
		Level        string             `json:"level"`
		Message      sarifText          `json:"message"`
		Locations    []sarifLocation    `json:"locations,omitempty"`
		Prints       map[string]string  `json:"partialFingerprints"`
		Suppressions []sarifSuppression `json:"suppressions,omitempty"`
	}
	sarifLocation struct {
		Physical sarifPhysical `json:"physicalLocation"`
	}
	sarifPhysical struct {
		Artifact sarifArtifact `json:"artifactLocation"`
		Region   *sarifRegion  `json:"region,omitempty"`
	}
	sarifArtifact struct {
		URI string `json:"uri"`
	}
	sarifRegion struct {
		Line   int `json:"startLine"`
		Column int `json:"startColumn,omitempty"`
	}
	sarifSuppression struct {
		Kind          string `json:"kind"`
		Justification string `json:"justification"`
	}
)

const sarifSchema = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"

// WriteSARIF writes the findings as SARIF 2.1.0. A stop is an error, a warn a warning;
// a signature is a suppression with its reason. Rules are those that were met, sorted.
// The fingerprint is the finding's key, so that a server knows a finding again after
// lines have moved.
func WriteSARIF(w io.Writer, list []Finding) error {
	run := sarifRun{Tool: sarifTool{sarifDriver{Name: "lampblack check", Rules: []sarifRule{}}}, Results: []sarifResult{}}
	rules := map[string]string{}
	for i := range list {
		f := &list[i]
		rules[f.ID] = f.about
		r := sarifResult{Rule: f.ID, Level: map[Severity]string{Stop: "error", Warn: "warning", Note: "note"}[f.Severity],
			Message: sarifText{f.plain()}, Prints: map[string]string{"finding/v1": f.Key()}}
		if f.File != "" {
			l := sarifLocation{sarifPhysical{Artifact: sarifArtifact{f.File}}}
			if f.Line > 0 {
				l.Physical.Region = &sarifRegion{f.Line, f.Column}
			}
			r.Locations = []sarifLocation{l}
		}
		if f.Signed != "" {
			r.Suppressions = []sarifSuppression{{"inSource", f.Signed}}
		}
		run.Results = append(run.Results, r)
	}
	for _, id := range slices.Sorted(maps.Keys(rules)) {
		run.Tool.Driver.Rules = append(run.Tool.Driver.Rules, sarifRule{id, sarifText{rules[id]}})
	}
	return encode(w, sarifLog{sarifSchema, "2.1.0", []sarifRun{run}})
}
