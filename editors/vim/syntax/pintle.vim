" Made by "go test ./editors/colours -update" out of the tables of the language.
if exists('b:current_syntax')
  finish
endif

syntax case match
" What a name may hold: K1.87a, B+, pull-in. A word in a name is no word of the language.
syntax iskeyword @,48-57,_,-,+,.

syntax match pintleNumber /\%(\w[+-]\|[0-9A-Za-z_.]\)\@2<![+-]\?\d\+\%(\.\d\+\)\?\k\@!/
syntax match pintleUnit /\%(\d\s*\)\@<=\%(inHg absolute\|mbar absolute\|mmHg absolute\|MPa absolute\|atm absolute\|bar absolute\|hPa absolute\|kPa absolute\|psi absolute\|Pa absolute\|inHg gauge\|mbar gauge\|mmHg gauge\|MPa gauge\|atm gauge\|bar gauge\|hPa gauge\|kPa gauge\|psi gauge\|Pa gauge\|percent\|cc\/min\|mL\/min\|ml\/min\|1\/min\|L\/min\|l\/min\|m\/s²\|r\/min\|turns\|Mohm\|MΩ\|N·m\|cm³\|degC\|degF\|inHg\|kg\/h\|km\/h\|kohm\|kΩ\|lbft\|m\/s2\|mbar\|mmHg\|mm²\|mohm\|mΩ\|turn\|1\/s\|AWG\|L\/h\|MPa\|MΩ\|atm\|bar\|cm3\|deg\|g\/s\|hPa\|kHz\|kPa\|kph\|kΩ\|l\/h\|m\/s\|mAh\|min\|mm2\|mph\|mΩ\|ohm\|psi\|r\/s\|rpm\|rps\|°C\|°F\|µA\|µV\|µs\|μA\|μV\|μs\|℃\|℉\|Ω\|Ah\|At\|Hz\|Nm\|PS\|Pa\|cc\|cm\|ft\|gn\|hp\|in\|kV\|kW\|kg\|km\|lb\|mA\|mL\|mV\|mW\|ml\|mm\|ms\|uA\|uV\|us\|°\|Ω\|%\|A\|K\|L\|V\|W\|g\|h\|l\|m\|s\)\%([0-9A-Za-z_]\)\@!/
syntax match pintleOperator /\<\%(above\|always\|and\|any\|at\|begins\|below\|between\|current\|ends\|every\|for\|is\|last\|least\|most\|not\|of\|or\|stays\|the\|through\|volts\)\>/
syntax match pintleClause /\<\%(accuracy\|against\|air\|anywhere\|apart\|as\|back\|because\|before\|break\|breaks\|but\|by\|changes\|clamped\|clears\|cold\|counts\|design\|despite\|disconnected\|down\|draws\|drop\|drops\|earths\|elsewhere\|end\|enters\|fail\|falls\|fault\|faults\|feeds\|first\|follows\|from\|goes\|high\|in\|inside\|keeps\|keyed\|lasts\|low\|made\|make\|makes\|mend\|moved\|moves\|never\|off\|on\|once\|one\|only\|onto\|open\|order\|otherwise\|out\|over\|passes\|per\|plugs\|possible\|present\|pulled\|pulls\|ramp\|rated\|reach\|reads\|refuses\|released\|repeats\|rests\|rises\|runs\|said\|see\|sender\|set\|sets\|shows\|sometimes\|springs\|starts\|state\|stops\|swap\|symptom\|tells\|throughout\|to\|turns\|two\|unless\|until\|up\|wait\|way\|when\|whenever\|while\|with\|within\|works\)\>/
syntax match pintleColour /\<\%(beige\|black\|blue\|brown\|clear\|dark\|gold\|green\|grey\|ivory\|light\|magenta\|natural\|orange\|pink\|purple\|red\|silver\|tan\|turquoise\|violet\|white\|yellow\)\>/
syntax match pintleChoice /\<\%(blown\|condition\|coolant\|count\|feed\|fuel\|ground\|oil\|pressure\|quantity\|setting\|shorted\|shut\|silent\|stuck\|vacuum\)\>/
syntax match pintleKind /\%(^\|[{}]\)\@1<=\s*\zs\%(accept\|armature\|assume\|band\|bands\|beat\|bench\|chart\|coil\|condition\|connector\|contact\|diode\|drive\|driver\|fault\|fit\|from\|fuse\|ground\|hose\|input\|load\|mode\|modes\|node\|noticed\|only\|option\|origin\|part\|passage\|pin\|port\|powered\|quantity\|require\|resistor\|result\|row\|sender\|setting\|shows\|splice\|step\|supply\|symptom\|takes\|threshold\|timer\|title\|use\|wire\)\k\@!/ nextgroup=pintleName skipwhite
syntax match pintleName /[0-9A-Za-z_+-]\+\%(\s*,\s*[0-9A-Za-z_+-]\+\)*\%(\s*\%([:{}"#]\|$\)\)\@=/ contained
syntax match pintleText /"[^"]*"\?/
syntax match pintleComment /#.*$/ contains=@Spell
syntax match pintleDocumentation /##.*$/ contains=@Spell
syntax region pintleBody start=/{/ end=/}/ transparent fold contains=TOP

highlight default link pintleKind Statement
highlight default link pintleName Identifier
highlight default link pintleClause Keyword
highlight default link pintleOperator Operator
highlight default link pintleColour Constant
highlight default link pintleChoice Constant
highlight default link pintleNumber Number
highlight default link pintleUnit Type
highlight default link pintleText String
highlight default link pintleComment Comment
highlight default link pintleDocumentation SpecialComment

let b:current_syntax = 'pintle'
