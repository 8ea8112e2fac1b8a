package runcmd

import "holdbench/cmd/holdbench/internal/command"

// JSON is what run --json prints, for its schema.
func JSON() any { return command.Record{} }
