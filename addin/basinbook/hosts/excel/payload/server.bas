Option Explicit
Option Private Module
' Asks Basinbook's Python. The library that starts and keeps it is xlwings' own; it is loaded from
' beside that Python, and always with the same command, so that one process answers all workbooks.
#If Win64 Then
Private Declare PtrSafe Function Activate Lib "xlwings64-@VERSION@.dll" Alias "XLPyDLLActivateAuto" (ByRef Result As Variant, ByVal Config As String, ByVal Mode As Long) As Long
Private Const LIBRARY_NAME As String = "xlwings64-@VERSION@.dll"
#Else
Private Declare PtrSafe Function Activate Lib "xlwings32-@VERSION@.dll" Alias "XLPyDLLActivateAuto" (ByRef Result As Variant, ByVal Config As String, ByVal Mode As Long) As Long
Private Const LIBRARY_NAME As String = "xlwings32-@VERSION@.dll"
#End If
Private Declare PtrSafe Function LoadLibrary Lib "kernel32" Alias "LoadLibraryA" (ByVal FileName As String) As LongPtr

Public Function Ask(ByVal FunctionName As String, ByVal Given As Variant) As Variant
    On Error GoTo Failed
    Ask = Server().CallUDF("@MODULE@", FunctionName, Given, ActiveWorkbook, Application.Caller)
    Exit Function
Failed:
    Ask = Err.Description
End Function

Private Function Server() As Object
    Dim Found As Variant, Python As String, Command As String
    Python = ThisWorkbook.Worksheets(1).Range("A2").Value
    If LoadLibrary(Folder(Python) & "\" & LIBRARY_NAME) = 0 Then
        If LoadLibrary(Folder(Folder(Python)) & "\" & LIBRARY_NAME) = 0 Then
            Err.Raise 1000, Description:="Basinbook: no " & LIBRARY_NAME & " near " & Python & "; run: basinbook addin install excel"
        End If
    End If
    ' The quotation marks around all of it are for a path with blanks, which cmd.exe would else cut.
    Command = "cmd.exe /K """"" & Python & """ -P -c ""import xlwings; xlwings.serve('$(CLSID)')"""""
    If Activate(Found, Command, 1) <> 0 Then Err.Raise 1000, Description:=CStr(Found)
    Set Server = Found
End Function

Private Function Folder(ByVal Path As String) As String
    Folder = Left$(Path, InStrRev(Path, "\") - 1)
End Function
