package checkcmd

import (
	"fmt"
	"io"
	"strings"

	"github.com/goccy/go-yaml"

	"holdbench/cmd/holdbench/internal/page"
	"holdbench/scenarios"
	"holdbench/sim"
)

// tapDetail is the block of diagnostics below a test that is not ok.
type tapDetail struct {
	Message     string       `yaml:"message"`
	Severity    string       `yaml:"severity"`
	Stopped     string       `yaml:"controller_stopped,omitempty"`
	Class       string       `yaml:"class,omitempty"`
	DurationS   float64      `yaml:"duration_s,omitempty"`
	Differences []tapDiffers `yaml:"differences,omitempty"`
	Broken      []string     `yaml:"broken,omitempty"`
}

type tapDiffers struct {
	Name   string `yaml:"name"`
	Wanted string `yaml:"wanted"`
	Found  string `yaml:"found"`
}

// writeTAP writes a check in the Test Anything Protocol, version 14
// (https://testanything.org/tap-version-14-specification.html), with what was seen in folders as comments.
func writeTAP(w io.Writer, items []*item, folders []scenarios.Contents) error {
	var b strings.Builder
	fmt.Fprintf(&b, "TAP version 14\n1..%d\n", len(items))
	for i := range folders {
		fmt.Fprintf(&b, "# %s\n", page.CleanLine(folders[i].String()))
	}
	for n, i := range items {
		name := tapName(i.name)
		switch i.word() {
		case "not run":
			b.WriteString("Bail out! interrupted\n")
			_, err := io.WriteString(w, b.String())
			return err
		case "ok":
			fmt.Fprintf(&b, "ok %d - %s\n", n+1, name)
		default:
			fmt.Fprintf(&b, "not ok %d - %s\n", n+1, name)
			if err := writeTAPDetail(&b, i); err != nil {
				return err
			}
		}
		if i.result != nil {
			for _, text := range remarks(i.result) {
				fmt.Fprintf(&b, "# %s\n", text)
			}
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// tapName escapes what has a meaning in a description.
func tapName(name string) string {
	return strings.NewReplacer(`\`, `\\`, "#", `\#`).Replace(page.CleanLine(name))
}

func writeTAPDetail(b *strings.Builder, i *item) error {
	detail := tapDetail{Message: "other than expected", Severity: "fail"}
	if i.err != nil {
		detail = tapDetail{Message: page.Clean(i.err.Error()), Severity: "error"}
	} else {
		detail.Stopped = stopLine(i.result)
		detail.Class, detail.DurationS = string(i.result.Class), i.result.DurationS
		detail.Differences, detail.Broken = tapDifferences(i.result)
	}
	text, err := yaml.Marshal(detail)
	if err != nil {
		return fmt.Errorf("cannot write diagnostics of %s: %w", i.name, err)
	}
	b.WriteString("  ---\n")
	for line := range strings.Lines(string(text)) {
		b.WriteString("  " + line)
	}
	b.WriteString("  ...\n")
	return nil
}

func tapDifferences(r *sim.Result) (differences []tapDiffers, broken []string) {
	for _, e := range r.Expectations {
		if !e.Met {
			differences = append(differences, tapDiffers{e.Name, e.Want, e.Got})
		}
	}
	for _, o := range r.Obligations {
		if !o.Kept {
			broken = append(broken, o.Name+": "+o.Detail)
		}
	}
	return differences, broken
}
