package sizecmd

import (
	"testing"

	"holdbench/cmd/holdbench/internal/clitest"
	"holdbench/cmd/holdbench/internal/command"
)

func TestExamples(t *testing.T) {
	program().Examples(t, "size", []clitest.Example{
		{Line: "holdbench size pane-hoist", Prints: []string{`^pane-hoist$`, `^judge.ceiling_nm +8.5 +8.465 +N·m$`, `^validation.$`}},
		{Line: "holdbench size tilt-arm --short", Prints: []string{`^tilt-arm, sequence reference$`, `^required torque, down +-3.027 N·m$`}},
		{Line: "holdbench size kiln-gate --counterbalance-loss 0.05 --maximum-load-kg 430", Code: command.ExitBroken, Prints: []string{`^✗ crossed  press torque, up: 17.46 N·m`, `^✗ crossed  ceiling: 17.4 N·m`}},
		{Line: "holdbench size pane-hoist --mechanical-limit-nm 14 --motor-peak-nm 12", Prints: []string{`^judge.ceiling_nm +8.5 +8.465 +N·m$`}},
		{Line: "holdbench size twin-lift --creep-mm-s 0.02 --markdown", Prints: []string{`^# Brake test of twin-lift$`, "^\\| `judge.dwell` \\| 1s \\| 880ms \\|"}, Data: true},
		{Line: "holdbench size pane-hoist --set-scenario sized.yaml", Prints: []string{`^pane-hoist$`}, Says: `^sized.yaml written$`},
		{Line: "holdbench size pane-hoist --short --set-rig sized-rig.yaml", Prints: []string{`^pane-hoist, sequence reference$`}, Says: `^sized-rig.yaml written$`},
	})
}

func TestPageIsKept(t *testing.T) { program().Pages(t, "size --help") }
