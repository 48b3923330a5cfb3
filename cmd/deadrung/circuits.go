package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"deadrung/circuits"
	"deadrung/circuits/read"
	"deadrung/cmd/deadrung/disk"
	"deadrung/cmd/deadrung/paper"
)

func newCircuits(s streams) *cobra.Command {
	var asJSON, schema, types bool
	var file string
	c := &cobra.Command{
		Use:   "circuits",
		Short: "List, show and copy the built-in circuits",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return noSuchCommand(cmd, args[0])
			}
			return nil
		},
		RunE: func(*cobra.Command, []string) error {
			return output(file, s, func(out io.Writer) error {
				switch {
				case schema:
					_, err := out.Write(read.Schema())
					return err
				case types:
					paper.DeviceTypes(out)
					return nil
				}
				return listCircuits(out, asJSON)
			})
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "the result in its machine form")
	c.Flags().BoolVar(&schema, "schema", false, "print the JSON Schema (draft-07) of circuit files instead")
	c.Flags().BoolVar(&types, "types", false, "print the table of device types, in Markdown, instead")
	outputFlag(c.Flags(), &file, resultUsage)
	var showFile string
	show := &cobra.Command{
		Use:   "show NAME",
		Short: "Print the file of a built-in circuit",
		Args:  builtinName(1),
		RunE: func(_ *cobra.Command, args []string) error {
			text, err := builtinText(args[0])
			if err != nil {
				return err
			}
			return output(showFile, s, func(out io.Writer) error {
				_, err := out.Write(text)
				return err
			})
		},
	}
	outputFlag(show.Flags(), &showFile, resultUsage)
	copyTo := &cobra.Command{
		Use:   "copy NAME [FILE]",
		Short: "Copy the file of a built-in circuit, to change it",
		Args:  builtinName(2),
		RunE: func(_ *cobra.Command, args []string) error {
			file := args[0] + ".yaml"
			if len(args) == 2 {
				file = args[1]
			}
			return copyCircuit(args[0], file, s)
		},
	}
	c.AddCommand(show, copyTo)
	return c
}

// builtinName asks for the name of a built-in circuit, and up to so many arguments.
func builtinName(most int) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		switch {
		case len(args) == 0:
			return errors.New("name a circuit: one of " + strings.Join(circuits.Builtin(), ", "))
		case len(args) > most:
			return fmt.Errorf("%q is too much", args[most])
		}
		return nil
	}
}

func builtinText(name string) ([]byte, error) {
	text, ok := circuits.BuiltinText(name)
	if !ok {
		return nil, usagef("there is no built-in circuit %q%s", name, circuits.Suggest(name, circuits.Builtin()))
	}
	return text, nil
}

func copyCircuit(name, file string, s streams) error {
	text, err := builtinText(name)
	if err != nil {
		return err
	}
	err = disk.PutNew(file, text, disk.Public)
	if errors.Is(err, os.ErrExist) {
		return fmt.Errorf("%s is there already; name another file", file)
	}
	if err != nil {
		return fmt.Errorf("cannot write the copy: %w", err)
	}
	fmt.Fprintf(s.err, "%s written\n", file)
	return nil
}

func listCircuits(out io.Writer, asJSON bool) error {
	type row struct {
		Name    string `json:"name"`
		Title   string `json:"title"`
		About   string `json:"about"`
		Devices int    `json:"devices"`
		Steps   int    `json:"steps"`
	}
	rows := []row{}
	for _, name := range circuits.Builtin() {
		text, _ := circuits.BuiltinText(name)
		c, problems := read.Read(name+".yaml", text)
		if err := problems.Err(); err != nil {
			return inputError{problems}
		}
		rows = append(rows, row{name, c.Title, c.About, len(c.Devices), len(c.Steps)})
	}
	if asJSON {
		return printJSON(out, rows)
	}
	t := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	for _, r := range rows {
		fmt.Fprintf(t, "%s\t%s\n", r.Name, r.Title)
	}
	return t.Flush()
}
