package showcmd

import (
	"testing"

	"holdbench/cmd/holdbench/internal/clitest"
)

func TestExamplesOfShow(t *testing.T) {
	program().Examples(t, "show", []clitest.Example{
		{Line: "holdbench show pane-hoist", Prints: []string{`^rig: pane-hoist$`, `^load:$`}, Data: true},
		{Line: "holdbench show pane-hoist --derived", Prints: []string{`^required test torque +3\.652 N·m`}},
		{Line: "holdbench show pane-hoist --accuracy", Prints: []string{`^ +at 250µs +at 2\.5µs`}},
		{Line: "holdbench show lining-worn-thin --resolved --set rig.load.mass_kg=210", Prints: []string{`^  rig\.load\.mass_kg +210 kg`, `^  class +caught$`}},
		{Line: "holdbench show healthy-down > mine.yaml", Prints: []string{`^scenario: healthy-down$`}, Data: true},
		{Line: "holdbench show reference-case.st > mine.st", Prints: []string{`^PROGRAM BrakeTest$`}, Data: true},
		{Line: "holdbench show fault lining-worn --rig kiln-gate", Prints: []string{`^lining-worn$`, `^on rig kiln-gate$`, `^    --fault lining-worn=0\.35@press_down$`}},
	})
}

func TestExamplesOfList(t *testing.T) {
	program().Examples(t, "list", []clitest.Example{
		{Line: "holdbench list", Prints: []string{`^scenarios +[1-9][0-9]+ `, `^faults +[1-9][0-9]+ `}},
		{Line: "holdbench list scenarios --long", Prints: []string{`^brake$`, `^  lining-worn-thin `}},
		{Line: "holdbench list faults", Prints: []string{`^brake$`, `^  lining-worn `}},
		{Line: "holdbench list signals", Prints: []string{`^inputs$`, `^outputs$`, `^  torque_nm `}},
		{Line: "holdbench list settings --json", Prints: []string{`\{"name":"rig.load.mass_kg","unit":"kg"`}, Data: true},
	})
}

func TestExamplesOfVet(t *testing.T) {
	program().Examples(t, "vet", []clitest.Example{
		{Line: "holdbench vet reference pane-hoist", Prints: []string{`^ok sequence reference$`, `^ok rig pane-hoist$`, `^2 documents: 0 errors, 0 warnings$`}},
		{Line: "holdbench vet --strict lining-worn-thin", Prints: []string{`^ok scenario lining-worn-thin$`}},
	})
}

func TestPageIsKept(t *testing.T) {
	program().Pages(t, "list targets", "list settings", "show fault load-left-out", "show fault brake-hot", "show fault coupling-feedback-wrong --rig twin-lift",
		"show kiln-gate --derived", "show magnitude-only --resolved", "list --help", "show --help", "vet --help")
}
