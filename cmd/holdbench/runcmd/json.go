package runcmd

import "holdbench/sim"

// JSON is what run --json prints, for its schema.
func JSON() any { return sim.Result{} }
