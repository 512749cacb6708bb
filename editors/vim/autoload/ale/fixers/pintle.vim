" Author: the authors of Pintle
" Description: lays designs out by `pintle format`, for ALE

call ale#Set('pintle_executable', 'pintle')

function! ale#fixers#pintle#Fix(buffer) abort
  return {
  \   'command': ale#Escape(ale#Var(a:buffer, 'pintle_executable')) . ' format %t',
  \   'read_temporary_file': 1,
  \}
endfunction
