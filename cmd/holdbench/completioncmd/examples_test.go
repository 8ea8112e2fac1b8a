package completioncmd

import (
	"testing"

	"holdbench/cmd/holdbench/internal/clitest"
)

func TestExamples(t *testing.T) {
	program().Examples(t, "completion", []clitest.Example{
		{Line: "source <(holdbench completion bash)", Prints: []string{`^# bash completion V2 for holdbench`}, Data: true},
		{Line: `holdbench completion zsh > "${fpath[1]}/_holdbench"`, Prints: []string{`^#compdef holdbench$`}, Data: true},
		{Line: "holdbench completion fish | source", Prints: []string{`^# fish completion for holdbench`}, Data: true},
		{Line: "holdbench completion powershell | Out-String | Invoke-Expression", Prints: []string{`Register-ArgumentCompleter`}, Data: true},
	})
}

func TestPageIsKept(t *testing.T) { program().Pages(t, "completion --help") }
