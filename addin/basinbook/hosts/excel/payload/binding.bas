Option Explicit
Option Private Module
' Formulas that another program wrote name our functions without saying where they are. Excel looks
' for them when a formula is entered; so they are entered again, once for each opened workbook.

Public Sub Bind(ByVal Book As Workbook)
    Dim Sheet As Worksheet, Before As Long
    If Book Is ThisWorkbook Or Book.HasVBProject Or Book.ReadOnly Then Exit Sub
    If FollowsLink(Book) Then Exit Sub
    ' A sheet that can't be changed stays as it is, and the others are done.
    On Error Resume Next
    Before = Application.Calculation
    Application.Calculation = xlCalculationManual
    For Each Sheet In Book.Worksheets
        EnterAgain Sheet
    Next
    Application.Calculation = Before
End Sub

' A workbook that Excel has saved says where the functions were: on this machine or on another.
Private Function FollowsLink(ByVal Book As Workbook) As Boolean
    Dim Links As Variant, Link As Variant
    Links = Book.LinkSources(xlExcelLinks)
    If IsEmpty(Links) Then Exit Function
    For Each Link In Links
        If LCase$(Right$(Link, Len(ThisWorkbook.Name))) = LCase$(ThisWorkbook.Name) Then
            FollowsLink = True
            If LCase$(Link) <> LCase$(ThisWorkbook.FullName) Then
                On Error Resume Next
                Book.ChangeLink Link, ThisWorkbook.FullName, xlLinkTypeExcelLinks
                On Error GoTo 0
            End If
        End If
    Next
End Function

Private Sub EnterAgain(ByVal Sheet As Worksheet)
    If Sheet.UsedRange.Find("BASIN_", LookIn:=xlFormulas, LookAt:=xlPart, MatchCase:=True) Is Nothing Then Exit Sub
    If Sheet.ProtectContents Then AllowMacros Sheet
    Sheet.UsedRange.Replace "BASIN_", "BASIN_", LookAt:=xlPart, MatchCase:=True
End Sub

' Protected as before, but macros may write until the workbook is closed. With a password this
' fails, and the sheet stays as it is.
Private Sub AllowMacros(ByVal Sheet As Worksheet)
    With Sheet.Protection
        Sheet.Protect DrawingObjects:=Sheet.ProtectDrawingObjects, Contents:=True, Scenarios:=Sheet.ProtectScenarios, UserInterfaceOnly:=True, AllowFormattingCells:=.AllowFormattingCells, AllowFormattingColumns:=.AllowFormattingColumns, AllowFormattingRows:=.AllowFormattingRows, AllowInsertingColumns:=.AllowInsertingColumns, AllowInsertingRows:=.AllowInsertingRows, AllowInsertingHyperlinks:=.AllowInsertingHyperlinks, AllowDeletingColumns:=.AllowDeletingColumns, AllowDeletingRows:=.AllowDeletingRows, AllowSorting:=.AllowSorting, AllowFiltering:=.AllowFiltering, AllowUsingPivotTables:=.AllowUsingPivotTables
    End With
End Sub
