" Author: the authors of Pintle
" Description: the language server of Pintle, for ALE

call ale#Set('pintle_executable', 'pintle')
call ale#Set('pintle_config', {})

" The nearest folder above with a pintle.toml or a repository, else the file's own.
function! ale_linters#pintle#pintle#Root(buffer) abort
  for l:marker in ['pintle.toml', '.git']
    let l:path = ale#path#FindNearestFile(a:buffer, l:marker)
    if empty(l:path)
      let l:path = ale#path#FindNearestDirectory(a:buffer, l:marker)
      let l:path = empty(l:path) ? '' : fnamemodify(l:path, ':h')
    endif
    if !empty(l:path)
      return fnamemodify(l:path, ':h')
    endif
  endfor
  return expand('#' . a:buffer . ':p:h')
endfunction

call ale#linter#Define('pintle', {
\   'name': 'pintle',
\   'lsp': 'stdio',
\   'executable': {b -> ale#Var(b, 'pintle_executable')},
\   'command': '%e serve',
\   'project_root': function('ale_linters#pintle#pintle#Root'),
\   'lsp_config': {b -> {'pintle': ale#Var(b, 'pintle_config')}},
\   'initialization_options': {b -> ale#Var(b, 'pintle_config')},
\})
