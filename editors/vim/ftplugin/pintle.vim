" Pintle: what an editor does without a server.
if exists('b:did_ftplugin')
  finish
endif
let b:did_ftplugin = 1

setlocal comments=:##,:# commentstring=#\ %s
setlocal expandtab shiftwidth=4 softtabstop=4
" Names of pins: 87a, B+, in-house.
setlocal iskeyword=@,48-57,_,-,+
setlocal formatoptions-=t formatoptions+=croql

let b:undo_ftplugin = 'setlocal comments< commentstring< expandtab< shiftwidth< softtabstop< iskeyword< formatoptions<'
