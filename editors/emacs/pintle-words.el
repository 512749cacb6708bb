;;; pintle-words.el --- The words of Pintle  -*- lexical-binding: t -*-

;;; Commentary:

;; Made by "go test ./editors/colours -update" out of the tables of the language.

;;; Code:

(defconst pintle-kinds
  '("accept" "armature" "assume" "band" "bands" "beat" "bench" "chart"
    "coil" "condition" "connector" "contact" "diode" "drive" "driver" "fault"
    "fit" "from" "fuse" "ground" "hose" "input" "load" "mode"
    "modes" "node" "noticed" "only" "option" "origin" "part" "passage"
    "pin" "port" "powered" "quantity" "require" "resistor" "result" "row"
    "sender" "setting" "shows" "splice" "step" "supply" "symptom" "takes"
    "threshold" "timer" "title" "use" "wire")
  "What a statement begins with.")

(defconst pintle-operators
  '("above" "always" "and" "any" "at" "begins" "below" "between"
    "current" "ends" "every" "for" "is" "last" "least" "most"
    "not" "of" "or" "stays" "the" "through" "volts")
  "The words of conditions.")

(defconst pintle-clauses
  '("accuracy" "against" "air" "anywhere" "apart" "as" "back" "because"
    "before" "break" "breaks" "but" "by" "changes" "clamped" "clears"
    "cold" "counts" "design" "despite" "disconnected" "down" "draws" "drop"
    "drops" "earths" "elsewhere" "end" "enters" "fail" "falls" "fault"
    "faults" "feeds" "first" "follows" "from" "goes" "high" "in"
    "inside" "keeps" "keyed" "lasts" "low" "made" "make" "makes"
    "mend" "moved" "moves" "never" "off" "on" "once" "one"
    "only" "onto" "open" "order" "otherwise" "out" "over" "passes"
    "per" "plugs" "possible" "present" "pulled" "pulls" "ramp" "rated"
    "reach" "reads" "refuses" "released" "repeats" "rests" "rises" "runs"
    "said" "see" "sender" "set" "sets" "shows" "sometimes" "springs"
    "starts" "state" "stops" "swap" "symptom" "tells" "throughout" "to"
    "turns" "two" "unless" "until" "up" "wait" "way" "when"
    "whenever" "while" "with" "within" "works")
  "The words of clauses.")

(defconst pintle-choices
  '("blown" "condition" "coolant" "count" "feed" "fuel" "ground" "oil"
    "pressure" "quantity" "setting" "shorted" "shut" "silent" "stuck" "vacuum")
  "What clauses let choose from.")

(defconst pintle-colours
  '("beige" "black" "blue" "brown" "clear" "dark" "gold" "green"
    "grey" "ivory" "light" "magenta" "natural" "orange" "pink" "purple"
    "red" "silver" "tan" "turquoise" "violet" "white" "yellow")
  "The colours of wires.")

(defconst pintle-units
  '("%" "1/min" "1/s" "A" "AWG" "Ah" "At" "Hz"
    "K" "L" "L/h" "L/min" "MPa" "MPa absolute" "MPa gauge" "Mohm"
    "MΩ" "MΩ" "Nm" "N·m" "PS" "Pa" "Pa absolute" "Pa gauge"
    "V" "W" "atm" "atm absolute" "atm gauge" "bar" "bar absolute" "bar gauge"
    "cc" "cc/min" "cm" "cm3" "cm³" "deg" "degC" "degF"
    "ft" "g" "g/s" "gn" "h" "hPa" "hPa absolute" "hPa gauge"
    "hp" "in" "inHg" "inHg absolute" "inHg gauge" "kHz" "kPa" "kPa absolute"
    "kPa gauge" "kV" "kW" "kg" "kg/h" "km" "km/h" "kohm"
    "kph" "kΩ" "kΩ" "l" "l/h" "l/min" "lb" "lbft"
    "m" "m/s" "m/s2" "m/s²" "mA" "mAh" "mL" "mL/min"
    "mV" "mW" "mbar" "mbar absolute" "mbar gauge" "min" "ml" "ml/min"
    "mm" "mm2" "mmHg" "mmHg absolute" "mmHg gauge" "mm²" "mohm" "mph"
    "ms" "mΩ" "mΩ" "ohm" "percent" "psi" "psi absolute" "psi gauge"
    "r/min" "r/s" "rpm" "rps" "s" "turn" "turns" "uA"
    "uV" "us" "°" "°C" "°F" "µA" "µV" "µs"
    "Ω" "μA" "μV" "μs" "℃" "℉" "Ω")
  "The units, in every spelling.")

(provide 'pintle-words)
;;; pintle-words.el ends here
