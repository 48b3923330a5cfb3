package main

import (
	"strings"

	"github.com/spf13/cobra"
)

// examples are what the help of each command shows, by its path without the program.
var examples = map[string]string{
	"": `deadrung find cold-store-alarm
deadrung practice two-lamp
deadrung circuits copy start-stop panel.yaml`,
	"find": `deadrung find cold-store-alarm
deadrung find panel.yaml --log friday.jsonl --report friday.md
deadrung find cold-store-alarm --simulate any --seed 7`,
	"next": `deadrung next cold-store-alarm
deadrung next panel.yaml --log friday.jsonl --json
deadrung next panel.yaml --log friday.jsonl --drop 4
deadrung next cold-store-alarm --complaint "horn silent in step 3"`,
	"chart": `deadrung chart cold-store-alarm --html -o chart.html
deadrung chart cold-store-alarm --complaint "door left open: B1"
deadrung chart panel.yaml --complaint each --html -o chart.html`,
	"page": `deadrung page panel.yaml -o panel.html
deadrung page -o all.html`,
	"practice": `deadrung practice cold-store-alarm
deadrung practice two-lamp --difficulty easy --seed 3
deadrung practice --lesson next
deadrung practice --drill 8
deadrung practice two-lamp --wiring`,
	"exam":         `deadrung exam set start-stop reversing --class class.csv --dir friday`,
	"exam set":     `deadrung exam set start-stop reversing --count 6 --faults 2 --minutes 20 --dir friday`,
	"exam cards":   `deadrung exam cards friday --html -o cards.html`,
	"exam sit":     `deadrung exam sit packet.json --answers answers`,
	"exam extra":   `deadrung exam extra ex 7 10`,
	"exam serve":   `deadrung exam serve friday --listen 192.0.2.10:4127`,
	"exam mark":    `deadrung exam mark friday --answers answers`,
	"exam key":     `deadrung exam key friday --html -o key.html`,
	"exam weights": `deadrung exam weights -o weights.yaml`,
	"faults": `deadrung faults cold-store-alarm
deadrung faults panel.yaml --worn --json
deadrung faults cold-store-alarm --weights`,
	"readings": `deadrung readings cold-store-alarm --step "door left open" --device B1
deadrung readings cold-store-alarm --volts B1:1,T1:X2 --step "door left open"
deadrung readings cold-store-alarm --fault open-CR1:22-B1:1 --wire 7`,
	"operate": `deadrung operate start-stop
deadrung operate start-stop --fault open-PB2:13-PB2:14`,
	"verify": `deadrung verify panel.yaml`,
	"wire": `deadrung wire start-stop -o wired.yaml
deadrung wire rungs.yaml --keep wired.yaml -o newer.yaml`,
	"import": `deadrung import wires.csv -o panel.yaml
deadrung import wires.csv --map wire=Number,from=A,to=B --answer H1.type=horn`,
	"wirelist": `deadrung wirelist start-stop --html -o wires.html
deadrung wirelist start-stop --csv -o wires.csv
deadrung wirelist panel.yaml --check-out --ask --log check-out.jsonl`,
	"draw": `deadrung draw start-stop
deadrung draw cold-store-alarm --svg --step "door left open" -o ladder.svg
deadrung draw panel.yaml --paper a3 -o ladder.pdf`,
	"folder":      `deadrung folder cold-store-alarm -o door`,
	"testability": `deadrung testability two-lamp`,
	"measure": `deadrung measure panel.yaml --write
deadrung measure cold-store-alarm --json`,
	"circuits": `deadrung circuits
deadrung circuits --types`,
	"circuits show": `deadrung circuits show start-stop`,
	"circuits copy": `deadrung circuits copy start-stop panel.yaml`,
	"manual":        `deadrung manual -o man`,
}

// addExamples gives each command its examples.
func addExamples(c *cobra.Command) {
	_, path, _ := strings.Cut(c.CommandPath(), " ")
	if text := examples[path]; text != "" {
		c.Example = "  " + strings.ReplaceAll(text, "\n", "\n  ")
	}
	for _, sub := range c.Commands() {
		addExamples(sub)
	}
}
