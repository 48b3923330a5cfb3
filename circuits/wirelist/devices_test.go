package wirelist

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"deadrung/circuits"
	"deadrung/circuits/read"
)

// deviceTable is the list of devices of a circuit file as it is written, with wires for rungs.
func deviceTable(t *testing.T, text []byte, c *circuits.Circuit) []byte {
	t.Helper()
	rows, err := read.DeviceList(read.Wired(text, c, nil))
	require.NoError(t, err, c.File)
	var b bytes.Buffer
	require.NoError(t, WriteRows(&b, rows))
	return b.Bytes()
}

// unplaced is a device without where it stands in the file, and its partner by name.
func unplaced(d *circuits.Device) (circuits.Device, string) {
	is, partner := *d, ""
	is.At = circuits.Pos{}
	is.Contacts = append([]circuits.Contact(nil), d.Contacts...)
	for i := range is.Contacts {
		is.Contacts[i].At = circuits.Pos{}
	}
	if d.Interlock != nil {
		partner, is.Interlock = d.Interlock.Name, nil
	}
	return is, partner
}

// A list of devices and one of wires are the circuit but for its operation: made into a file again,
// every device is equal in all that the file says of it, and so is every wire. The list of the new file
// is the same.
func TestDevicesGoRound(t *testing.T) {
	all := texts(t)
	odd, err := filepath.Glob("../read/testdata/ok/*.yaml")
	require.NoError(t, err)
	require.NotEmpty(t, odd)
	for _, f := range odd {
		all[f], err = os.ReadFile(f)
		require.NoError(t, err)
	}
	for name, text := range all {
		c := readText(t, name, text)
		table := deviceTable(t, text, c)
		told, problems := ReadDevices("devices.csv", table)
		require.NoError(t, problems.Err(), "%s\n%s", name, table)
		require.Empty(t, problems, name)
		rows, problems := ReadCSV("list.csv", csvOf(t, c), nil)
		require.NoError(t, problems.Err(), name)
		draft, err := Guess("list.csv", rows, told, nil)
		require.NoError(t, err, name)
		require.Empty(t, draft.Questions, "%s: something is guessed", name)
		var b bytes.Buffer
		require.NoError(t, draft.Write(&b, c.Title))
		again := readText(t, name, b.Bytes())
		assert.Equal(t, wiresOf(c), wiresOf(again), name)
		require.Len(t, again.Devices, len(c.Devices), name)
		for _, d := range c.Devices {
			require.NotNil(t, again.Device(d.Name), "%s: %s", name, d.Name)
			was, partner := unplaced(d)
			is, other := unplaced(again.Device(d.Name))
			assert.Equal(t, was, is, "%s: %s", name, d.Name)
			assert.Equal(t, partner, other, "%s: %s", name, d.Name)
		}
		assert.Equal(t, string(table), string(deviceTable(t, b.Bytes(), again)), name)
	}
}

// Lists as the trade has them: titles above, other headings, other names of types, remarks.
func TestDevicesOfTheTrade(t *testing.T) {
	list := "Panel 7;;;;\n\nTag;Description;Type;Location;Maker\n" +
		"=A1+P1-K1;holds the fan;contactor;;X\nPB1;stop;button;door;Y\n\n# spare\nH1;'-red;lamp;door;Z\n"
	told, problems := ReadDevices("devices.csv", []byte(list))
	require.NoError(t, problems.Err())
	require.Len(t, problems, 1)
	assert.Contains(t, problems[0].What, `"Maker" is passed over`)
	assert.Equal(t, []Told{
		{Name: "K1", Type: "contactor", Place: "panel", keys: []string{"note: holds the fan"}},
		{Name: "PB1", Type: "push-button", Place: "door", keys: []string{"note: stop"}},
		{Name: "H1", Type: "lamp", Place: "door", keys: []string{"note: '-red'"}},
	}, told)
}

// Each mistake is told at its line.
func TestDevicesWithMistakes(t *testing.T) {
	list := "device,type,contacts\nK1,relay,[{no: [13, 14]}\nK1,relay,\nK?,relay,\nK2,,x\nK3,relai,\n"
	_, problems := ReadDevices("devices.csv", []byte(list))
	var got []string
	for _, p := range problems {
		got = append(got, fmt.Sprintf("%d:%d: %s", p.Pos.Line, p.Pos.Column, p.What))
	}
	require.Len(t, got, 4, strings.Join(got, "\n"))
	for i, want := range []string{"2:10: contacts cannot be read", `4:1: "K?" does not name a device`, "5:1: K2 has no type",
		`6:4: there is no type "relai"`} {
		assert.Contains(t, got[i], want)
	}
	_, problems = ReadDevices("devices.csv", []byte("wire,from,to\n1,A:1,B:1\n"))
	assert.ErrorContains(t, problems.Err(), "no heading of a list of devices")
}

// No text makes the reader of device lists stop the program.
func FuzzReadDevices(f *testing.F) {
	f.Add([]byte("device,type,note\nK1,relay,x\n"))
	f.Add([]byte("sep=;\ntag;type;contacts\nK1;relay;[{no: [13, 14]}]\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		told, problems := ReadDevices("devices.csv", text)
		for _, d := range told {
			if problems.Err() == nil && (d.Name == "" || circuits.TypeNamed(d.Type) == nil) {
				t.Errorf("%+v is no device", d)
			}
		}
	})
}

// A list of devices comes in all that a wire list comes in: also on a sheet behind that of the wires.
func TestDeviceListsComeAsWireListsDo(t *testing.T) {
	const wires, devices = "wire,from,to\n1,G1:L,H1:1\n", "device,type\nG1,supply\nH1,lamp\n"
	f := excelize.NewFile()
	_, err := f.NewSheet("devices")
	require.NoError(t, err)
	for sheet, list := range map[string]string{"Sheet1": wires, "devices": devices} {
		for i, line := range strings.Split(strings.TrimSpace(list), "\n") {
			for k, cell := range strings.Split(line, ",") {
				at, err := excelize.CoordinatesToCellName(k+1, i+1)
				require.NoError(t, err)
				require.NoError(t, f.SetCellValue(sheet, at, cell))
			}
		}
	}
	var book bytes.Buffer
	require.NoError(t, f.Write(&book))
	for name, text := range map[string][]byte{"plain": []byte(devices), "workbook": book.Bytes(),
		"old line ends": []byte(strings.ReplaceAll(devices, "\n", "\r"))} {
		list, problems := ReadDevices("list", text)
		require.NoError(t, problems.Err(), name)
		require.Len(t, list, 2, name)
		assert.Equal(t, "lamp", list[1].Type, name)
	}
	_, problems := ReadDevices("list", []byte("device,type\nG1,su\x00pply\n"))
	assert.ErrorContains(t, problems.Err(), "not text in UTF-8")
}
