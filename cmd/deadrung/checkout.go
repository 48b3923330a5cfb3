package main

import (
	"errors"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

type checkOutOptions struct{}

func (o *checkOutOptions) flags(f *pflag.FlagSet) {}
func (o *checkOutOptions) used() bool             { return false }

func runCheckOut(cmd *cobra.Command, o wirelistOptions, s streams) error { return errors.New("later") }
